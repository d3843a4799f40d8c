from tests.factories.fleet import Tamper, write_entries

__all__ = ["Tamper", "write_entries"]
