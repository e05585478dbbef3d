"""What people type on the pages of species, blends, seasons and orders."""
