"""Figures from one run on this machine, every answer checked: `make bench`. No part of the suite."""
