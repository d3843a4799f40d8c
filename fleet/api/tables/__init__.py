"""Tables as people fill them in: the columns of each, how their cells are read, and the templates to fill in."""
