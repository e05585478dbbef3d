"""What the columns of several models share."""

derived = property  # a field named `property` hides the builtin inside a class body
