"""The search for the cheapest way to buy, in a process of its own that can be ended at any moment."""
