"""What a check means: the point catalogue and the rules that judge an answer. Holds no storage, clock or framework."""
