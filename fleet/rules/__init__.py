"""Pure rules of what the carrier owns: papers, serial numbers, meters, keeping. No Django, clock or database."""
