"""Reading what answers dispatch, and laying it out for the pure rules."""
