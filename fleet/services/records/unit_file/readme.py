"""The README.txt of a unit's file: what is in it and how to check it, in the language of the file."""

from django.utils.translation import gettext as _

from fleet.selectors.records.unit_file.sections import sections
from fleet.services.records.unit_file.pages import Cover


def readme(cover: Cover) -> bytes:
    """The text, UTF-8 with LF; call it with the language in force."""
    lines = [
        cover.title,
        "=" * len(cover.title),
        "",
        *(f"{name}: {value}" for name, value in cover.facts()),
        "",
        _("file.pdf: everything for reading. Begin there."),
        _("records/: the same as JSON, one record on each line; instants in UTC."),
        _("scans/, photos/: papers and photos, each named by the SHA-256 of its content."),
        _("manifest.json, SHA256SUMS: size and SHA-256 of every file."),
        "",
        _("To check that nothing was changed, with Python alone: python3 verify.py"),
        _("The files alone, with common tools: sha256sum -c SHA256SUMS"),
        _("The manifest's own SHA-256 stands in the unit's history, in the entry of the day on which this was made."),
        "",
        cover.notice,
        "",
        _("What stands empty in these days:"),
        *(f"- {section.title}: {section.empty}" for section in sections() if not cover.gathered.counts[section.name]),
        "",
    ]
    return "\n".join(lines).encode()
