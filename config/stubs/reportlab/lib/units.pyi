inch: float
