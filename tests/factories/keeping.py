from tests.factories.fleet import make_deletion, make_legal_hold

__all__ = ["make_deletion", "make_legal_hold"]
