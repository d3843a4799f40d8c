"""Day 5 played by a client that a generator made of the description: `python day_05.py ADDRESS PASSWORD PHOTO`.

Run where that client (`described`) is, in an environment of its own: it knows nothing else of the service.
"""

import hashlib
import sys
import time
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import TypeVar
from uuid import UUID, uuid4

from described import AuthenticatedClient, Client
from described.api.clearances import clearances_create
from described.api.defects import defects_certify, defects_read
from described.api.driver_reviews import driver_reviews_create, driver_reviews_pending_read
from described.api.holds import holds_lift, holds_read
from described.api.me import me_read
from described.api.notices import notices_list
from described.api.photos import walkarounds_photos_put
from described.api.repair_tasks import repair_tasks_assign, repair_tasks_finish, repair_tasks_list, repair_tasks_start
from described.api.tokens import tokens_create
from described.api.walk import walk_read
from described.api.walkarounds import walkarounds_put
from described.models import (
    CertificateKind,
    CertifyBody,
    CheckAnswer,
    CheckBody,
    ClearanceAnswer,
    ClearanceBody,
    DefectState,
    FieldSignature,
    FinishBody,
    FoundAnswer,
    LiftBody,
    MeasuredBody,
    NotificationKind,
    OwnSignature,
    Problem,
    ProblemCode,
    ReportBody,
    ReviewBody,
    Severity,
    SignatureBody,
    SignatureMethod,
    SignInBody,
    TaskAnswer,
    TaskAssignBody,
    WalkaroundBody,
    WalkaroundKind,
)
from described.types import File

from fixtures.scenario.walking import whole_walk

UNITS = ["NL-15", "LR-46", "CU-46"]
T = TypeVar("T")


class Play:
    """The people of the day at one address, and a photo of what was found."""

    def __init__(self, address: str, password: str, photo: bytes) -> None:
        self.address, self.password, self.photo = address, password, photo

    def device(self, username: str) -> AuthenticatedClient:
        """Somebody's signed-in device."""
        body = SignInBody(username=username, password=self.password, device="a generated client")
        made = good(tokens_create.sync(client=Client(self.address), body=body))
        return AuthenticatedClient(self.address, token=made.token)

    def found_over_limit(self) -> FoundAnswer:
        """Iris walks, measures a stroke over its limit, and sends the photo that she signed for."""
        iris, digest, key = self.device("iris"), hashlib.sha256(self.photo).hexdigest(), uuid4()
        stroke = CheckBody(
            point="brakes.service.pushrod-stroke",
            place="axle-2-right",
            answer=CheckAnswer.DEFECT,
            value="2.31",
            unit_of_measure="in",
            photos=[digest],
        )
        body = WalkaroundBody(
            kind=WalkaroundKind.PRE_TRIP,
            started_at=now() - timedelta(minutes=25),
            finished_at=now(),
            coupled=True,
            site="north-yard",
            reports=[ReportBody(unit="NL-15"), ReportBody(unit="LR-46", checks=[stroke]), ReportBody(unit="CU-46")],
            signature=SignatureBody(SignatureMethod.DRAWN, now(), "I list what I found."),
        )
        receipt = good(walkarounds_put.sync(key, client=iris, body=body))
        photo = File(BytesIO(self.photo), "stroke.png", "image/png")
        sent = walkarounds_photos_put.sync_detailed(key, digest, client=iris, body=photo)
        expect("the photo is kept", sent.status_code, 201)
        again = good(walkarounds_put.sync(key, client=iris, body=body))
        expect("sent again, it is known", (again.replayed, again.units), (True, receipt.units))
        [found] = next(unit for unit in receipt.units if unit.unit == "LR-46").found
        expect("do not move, with a hold", (found.severity, found.hold is not None), (Severity.DO_NOT_MOVE, True))
        return found

    def repaired(self, found: FoundAnswer) -> None:
        """Hob assigns, Greta repairs, measures and certifies, Hob lifts; each at the version that was read."""
        hob, greta, defect = self.device("hob"), self.device("greta"), str(found.defect)
        assert found.hold is not None
        told = good(notices_list.sync(client=hob, unit="LR-46", open_=True)).results
        expect("the foreman is told", told[0].kind, NotificationKind.HOLD_PLACED)
        [task] = good(repair_tasks_list.sync(client=hob, order=str(found.order), open_=True)).results
        mechanic = good(me_read.sync(client=greta)).person.id
        assign = TaskAssignBody(lead=mechanic)
        task = good(repair_tasks_assign.sync(task.id, client=hob, body=assign, **edit(task.version)))
        lift = LiftBody(OwnSignature(SignatureMethod.DRAWN, now(), "I lift this hold."))
        held = good(holds_read.sync(str(found.hold), client=hob))
        refused = holds_lift.sync(str(found.hold), client=hob, body=lift, **edit(held.version))
        assert isinstance(refused, Problem)
        expect("nobody lifts before the repair", refused.code, ProblemCode.REPAIRS_OUTSTANDING)
        task = good(repair_tasks_start.sync(task.id, client=greta, **edit(task.version)))
        self.finish(greta, task)
        statement = "Adjuster replaced; stroke measured 1.62 in."
        certificate = CertifyBody(
            statement, OwnSignature(SignatureMethod.DRAWN, now(), statement), CertificateKind.REPAIRED
        )
        seen = good(defects_read.sync(defect, client=greta)).version
        certified = good(defects_certify.sync(defect, client=greta, body=certificate, **edit(seen)))
        expect("certified repaired", certified.state, DefectState.CERTIFIED)
        held = good(holds_read.sync(str(found.hold), client=hob))
        good(holds_lift.sync(str(found.hold), client=hob, body=lift, **edit(held.version)))

    def finish(self, greta: AuthenticatedClient, task: TaskAnswer) -> None:
        """The mechanic's cause, correction and measurement."""
        body = FinishBody(
            "slack adjuster worn", "slack adjuster replaced", after=MeasuredBody(value="1.62", unit_of_measure="in")
        )
        good(repair_tasks_finish.sync(task.id, client=greta, body=body, **edit(task.version)))

    def rolling(self, found: FoundAnswer) -> None:
        """Sol walks the whole list, reviews, signs, and nothing known is against it."""
        sol = self.device("sol")
        listed = good(walk_read.sync(client=sol, tractor="NL-15", trailer="LR-46"))
        reports = [ReportBody.from_dict(each) for each in whole_walk(listed.to_dict(), now().isoformat())]
        walk = WalkaroundBody(
            kind=WalkaroundKind.PRE_TRIP,
            started_at=now() - timedelta(minutes=25),
            finished_at=now(),
            coupled=listed.coupled,
            catalogue=listed.catalogue,
            reports=reports,
            signature=SignatureBody(SignatureMethod.DRAWN, now(), listed.to_sign),
        )
        good(walkarounds_put.sync(uuid4(), client=sol, body=walk))
        driver = good(me_read.sync(client=sol)).person.id
        expect("the review is his step", self.clearance(sol, driver), ClearanceAnswer.AFTER_DRIVER_STEPS)
        pending = good(driver_reviews_pending_read.sync(client=sol, unit=UNITS)).units
        review = ReviewBody(
            id=uuid4(),
            units=UNITS,
            reports=[each.id for unit in pending for each in unit.reports],
            certificates=[each.id for unit in pending for each in unit.certificates],
            signature=FieldSignature(SignatureMethod.DRAWN, now(), "I have read these."),
        )
        good(driver_reviews_create.sync(client=sol, body=review))
        expect("closed", good(defects_read.sync(str(found.defect), client=sol)).state, DefectState.CLOSED)
        expect("it rolls", self.clearance(sol, driver), ClearanceAnswer.NOTHING_KNOWN_AGAINST)

    def clearance(self, sol: AuthenticatedClient, driver: UUID) -> ClearanceAnswer:
        """What dispatch's question is answered with."""
        body = ClearanceBody(units=UNITS[:2], arrival=now() + timedelta(hours=10), driver=driver)
        return good(clearances_create.sync(client=sol, body=body, idempotency_key=str(uuid4()))).answer


def good(answer: Problem | T | None) -> T:
    """The answer; SystemExit for a problem, and for a status without a form."""
    if answer is None or isinstance(answer, Problem):
        sys.exit(f"refused: {answer}")
    return answer


def edit(version: int) -> dict[str, str]:
    """The headers of an edit of a version that was read."""
    return {"idempotency_key": str(uuid4()), "if_match": f'"{version}"'}


def expect(what: str, seen: object, wanted: object) -> None:
    """SystemExit unless it is so."""
    if seen != wanted:
        sys.exit(f"{what}: {seen}, not {wanted}")


def now() -> datetime:
    """This device's clock."""
    return datetime.fromtimestamp(time.time(), UTC)


if __name__ == "__main__":
    play = Play(sys.argv[1], sys.argv[2], Path(sys.argv[3]).read_bytes())
    first = play.found_over_limit()
    play.repaired(first)
    play.rolling(first)
