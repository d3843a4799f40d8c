"""People with roles, qualifications, devices and signatures."""

import datetime as dt
from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar, Self
from uuid import UUID

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import F, Q

from common.ids import uuid7
from fleet.enums import Role, Scope, SignatureMethod, SignaturePurpose
from fleet.models.base import Keyed, choices


class PersonManager(BaseUserManager["Person"]):
    """Finds people by what they type at sign-in."""

    def get_by_natural_key(self, username: str | None) -> "Person":
        """Return the person of that name at sign-in, upper or lower case."""
        return self.get(username__iexact=username)


class Person(AbstractBaseUser):
    """A driver, mechanic, officer or outside firm's hand. Without a username there is no sign-in."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    version = models.PositiveIntegerField(default=1)
    username = models.CharField(max_length=64, null=True, blank=True, unique=True)
    name = models.CharField(max_length=120)
    title = models.CharField(max_length=120, blank=True)
    firm = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=32, blank=True)
    language = models.CharField(max_length=8, default="en")
    home_site = models.ForeignKey("fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="people")
    left_on = models.DateField(null=True, blank=True)
    sign_in_given = models.BooleanField(default=False, db_default=False)
    """Somebody else set the password: until the person has set an own one, signing in serves for nothing else."""
    last_login = None

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]
    objects = PersonManager()

    def __str__(self) -> str:
        return self.name

    @property
    def log_name(self) -> str:
        """What a log calls the person: the name to sign in with, where there is one."""
        return self.username or self.name

    @property
    def is_active(self) -> bool:  # type: ignore[override]  # an attribute in the base
        """Whether the person may sign in at all; leaving ends every session at once."""
        return self.left_on is None

    @cached_property
    def current_roles(self) -> frozenset[str]:
        """The roles in force now; set by authentication for the length of one request."""
        raise AttributeError("current_roles is set when a request is authenticated")

    @cached_property
    def sited_roles(self) -> frozenset[tuple[str, UUID | None]] | None:
        """The same with the site that each is held at, None for everywhere; None where nobody has said at which."""
        return None

    def roles_at(self, site: UUID | None) -> frozenset[str]:
        """The roles in force at a site; all of them at no site in particular."""
        if site is None or self.sited_roles is None:
            return self.current_roles
        return frozenset(role for role, at in self.sited_roles if at in {None, site})

    @cached_property
    def known_qualifications(self) -> "tuple[Qualified, ...]":
        """Every qualification with its days; set by authentication, else read once."""
        return tuple(Qualified(row.scope, row.starts_on, row.ends_on) for row in self.qualifications.all())

    def scopes_on(self, day: dt.date) -> frozenset[str]:
        """What the person is qualified for on a day, last day included."""
        return frozenset(row.scope for row in self.known_qualifications if row.holds_on(day))


@dataclass(frozen=True, slots=True)
class Qualified:
    """A scope of work somebody is qualified for from a day to a day, last day included; no end is None."""

    scope: str
    starts_on: dt.date
    ends_on: dt.date | None

    def holds_on(self, day: dt.date) -> bool:
        return self.starts_on <= day and (self.ends_on is None or day <= self.ends_on)


class PersonRoleQuerySet(models.QuerySet["PersonRole"]):
    """Roles by their days."""

    def in_force(self, on: dt.date) -> Self:
        """Those held on a day, last day included."""
        return self.filter(starts_on__lte=on).filter(Q(ends_on__isnull=True) | Q(ends_on__gte=on))


class PersonRole(Keyed):
    """A role held from a day to a day (last day included), everywhere or at one site; an administrator's everywhere.

    Who gave and who ended it, and when: empty for roles from before that was kept, and `granted_by` for the founder's.
    `console_reason`: why it was given at the server's console, where nobody second was asked.
    """

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="roles")
    role = models.CharField(max_length=16, choices=choices(Role))
    site = models.ForeignKey("fleet.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="roles")
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    granted_by = models.ForeignKey(Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    granted_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    console_reason = models.CharField(max_length=400, blank=True, default="")

    objects = PersonRoleQuerySet.as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=~Q(role=Role.ADMINISTRATOR) | Q(site__isnull=True) | Q(ends_on__isnull=False),
                name="person_role_administrator_everywhere",
            ),
            models.CheckConstraint(condition=Q(role__in=list(Role)), name="person_role_known"),
            models.CheckConstraint(
                condition=Q(ends_on__isnull=True) | Q(ends_on__gte=F("starts_on")), name="person_role_ends_after_start"
            ),
        )
        indexes = (models.Index(fields=("role", "starts_on"), name="person_role_by_role"),)

    def __str__(self) -> str:
        return f"{self.person_id} {self.role}"

    def in_force(self, on: dt.date) -> bool:
        """Whether the role is held on that day."""
        return self.starts_on <= on and (self.ends_on is None or on <= self.ends_on)


class Qualification(Keyed):
    """Evidence that a person may do a scope of work (396.19, 396.25, 40 CFR 82 subpart F)."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="qualifications")
    scope = models.CharField(max_length=24, choices=choices(Scope))
    evidence = models.TextField()
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    recorded_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()
    ended_by = models.ForeignKey(Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(scope__in=list(Scope)), name="qualification_scope_known"),
            models.CheckConstraint(
                condition=Q(ends_on__isnull=True) | Q(ends_on__gte=F("starts_on")),
                name="qualification_ends_after_start",
            ),
        )
        indexes = (models.Index(fields=("person", "scope"), name="qualification_person_scope"),)

    def __str__(self) -> str:
        return f"{self.person_id} {self.scope}"


class DeviceToken(Keyed):
    """One opaque sign-in token for one device of one person; only the SHA-256 of it is kept."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="tokens")
    device = models.CharField(max_length=80)
    token_hash = models.BinaryField(max_length=32, unique=True)
    created_at = models.DateTimeField()
    renewed_on = models.DateField()
    expires_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.person_id} on {self.device}"


class SignInAttempt(models.Model):
    """Attempts to sign in counted per address, name and device within a window, so that guessing is slow."""

    subject = models.CharField(max_length=120, primary_key=True)
    window_starts_at = models.DateTimeField()
    failures = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return self.subject


class Signature(Keyed):
    """Never changed. `signer` may differ from the token's owner; `content_hash` is the SHA-256 of what was signed."""

    purpose = models.CharField(max_length=12, choices=choices(SignaturePurpose))
    signer = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="signatures")
    token_owner = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    shown = models.TextField()
    content_hash = models.CharField(max_length=64)
    method = models.CharField(max_length=8, choices=choices(SignatureMethod))
    device = models.CharField(max_length=80, blank=True, default="")
    signed_at = models.DateTimeField()
    offset_minutes = models.SmallIntegerField()
    received_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.purpose} by {self.signer_id}"
