"""How people, signatures and units stand in the records of a file. Reads nothing: the rows come with what is named."""

from collections.abc import Mapping

from fleet.models import Person, Signature, Unit


def person_record(person: Person | None) -> Mapping[str, object] | None:
    """A person by key, name, title and firm; nothing else of a person's record."""
    if person is None:
        return None
    return {"id": person.pk, "name": person.name, "title": person.title, "firm": person.firm}


def signature_record(signature: Signature | None) -> Mapping[str, object] | None:
    """A whole signature; its signer and the owner of the device come with it."""
    if signature is None:
        return None
    return {
        "id": signature.pk,
        "purpose": signature.purpose,
        "signer": person_record(signature.signer),
        "device_of": person_record(signature.token_owner),
        "method": signature.method,
        "shown": signature.shown,
        "content_hash": signature.content_hash,
        "device": signature.device,
        "signed_at": signature.signed_at,
        "offset_minutes": signature.offset_minutes,
        "received_at": signature.received_at,
    }


def unit_record(unit: Unit) -> Mapping[str, object]:
    """A unit by key and number."""
    return {"id": unit.pk, "number": str(unit)}
