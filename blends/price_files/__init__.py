"""Uploaded price lists on their way to a table of text. Spreadsheets are read in a process of their own."""

from blends.price_files.bounded import table_of_file

__all__ = ["table_of_file"]
