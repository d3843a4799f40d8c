LETTER: tuple[float, float]
