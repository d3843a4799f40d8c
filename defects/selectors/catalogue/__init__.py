"""The catalogue in force and the facts of units that its points ask for. It judges nothing."""
