"""The REST API of this app; see DEVELOPERS.md for its routes."""
