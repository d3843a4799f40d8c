from collections.abc import Mapping

class Face:
    charToGlyph: Mapping[int, int]

class TTFont:
    face: Face
    def __init__(self, name: str, filename: str) -> None: ...
