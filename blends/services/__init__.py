"""Writes: one function for each thing a person does."""
