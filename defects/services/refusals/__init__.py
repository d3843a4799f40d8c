"""Drivers' refusals, the copy each driver gets, and the second look. A refusal bars without a hold."""
