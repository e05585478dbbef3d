"""A package of calculations as a maintainer would write one, for the tests that look for it everywhere."""
