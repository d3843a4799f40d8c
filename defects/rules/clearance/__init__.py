"""May these units roll, with this load, and still be legal and cold on arrival: a pure function over one snapshot."""
