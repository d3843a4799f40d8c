"""One-time links: an outsider signs once for what the link names, and one person with a link frees no unit."""

from typing import Any
from zoneinfo import ZoneInfo

import pytest

from common.errors import Conflict, DomainError, Invalid, NotAllowed, NotFound, TooOften
from defects.models import Certificate, Defect, Hold, Refusal, SecondLook, SigningLink
from defects.selectors.refusals import refusal_waits
from defects.services.signing_links.firms import confirm_firm
from defects.services.signing_links.links import LASTS, create_link, create_link_for_look, open_link, revoke_link
from defects.services.signing_links.outside_signing import OutsideSigner, Repaired, look_by_link, sign_by_link
from fleet.enums import Role, SignatureMethod
from fleet.models import Carrier, Notification, Person
from fleet.services.notifications.composing import sentence_of
from fleet.services.notifications.endings import still_active
from fleet.services.people.sign_in_attempts import OF_AN_ADDRESS
from tests.factories.fleet import history_of
from tests.support.yard import MINUTE, TAPE, Yard, photo_on

EVIDENCE: dict[str, Any] = {"signer": {"brake_evidence": "Ben Hale, shop manager, keeps the certificates"}}


def refused(error: type[DomainError], code: str, yard: Yard, defect: Defect, **given: Any) -> DomainError:
    with pytest.raises(error) as caught:
        yard.by_link(defect, **given)
    assert caught.value.code == code
    assert not Certificate.objects.exists()
    assert Defect.objects.get(pk=defect.pk).state == defect.state
    return caught.value


def confirm(yard: Yard, by: str, brake_evidence: str = "", firm: str = "crookspoke road tire") -> None:
    confirm_firm(
        firm=firm, how="rang the number of the directory", brake_evidence=brake_evidence, actor=yard[by], now=yard.now
    )


def make(yard: Yard, *defects: Defect, by: str = "sol") -> tuple[SigningLink, str]:
    return create_link(defects=[defect.pk for defect in defects], actor=yard[by], now=yard.later())


def opened(yard: Yard, token: str, address: str = "192.0.2.1") -> SigningLink:
    return open_link(token=token, address=address, now=yard.now)


def test_signed_by_a_link__a_certificate_of_the_outsider_entered_for_the_links_maker(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    [certificate] = yard.by_link(defect)

    signature = certificate.signature
    assert (signature.signer.name, signature.signer.firm, signature.signer.username, signature.token_owner) == (
        "Rita Sand",
        "Crookspoke Road Tire",
        None,
        yard["sol"],
    )
    assert (certificate.firm, certificate.agent_reason, certificate.photo_sha256) == (
        "Crookspoke Road Tire",
        "",
        f"{defect.number:064x}",
    )
    assert Defect.objects.get(pk=defect.pk).state == "certified"
    noted = [kind for kind in history_of(yard.trailer) if kind in {"signing_link_made", "certificate_signed"}]
    assert noted == ["signing_link_made", "certificate_signed"]


def test_token__is_long_kept_as_its_hash_and_serves_once(yard: Yard) -> None:
    link, token = make(yard, yard.finding(TAPE, finding="damaged"))
    assert len(token) == len("rcs_") + 43
    assert token.encode() not in bytes(link.token_hash)
    assert opened(yard, token) == link
    revoke_link(link_id=link.pk, actor=yard["sol"], now=yard.now)
    with pytest.raises(NotFound):
        opened(yard, token)


def test_used_link__opens_no_more(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    yard.by_link(defect)
    link = SigningLink.objects.get()
    assert link.used_at == yard.now
    with pytest.raises(Conflict) as caught:
        revoke_link(link_id=link.pk, actor=yard["hob"], now=yard.now)
    assert caught.value.code == "link_used"


def test_link_over_or_of_one_who_makes_none_any_more__opens_no_more(yard: Yard) -> None:
    _, token = make(yard, yard.finding(TAPE, finding="damaged"))
    yard["sol"].roles.update(role=Role.DISPATCH)
    with pytest.raises(NotFound):
        opened(yard, token)
    yard["sol"].roles.update(role=Role.DRIVER)
    opened(yard, token)
    yard.later(LASTS)
    with pytest.raises(NotFound):
        opened(yard, token)


def test_guessing__is_slow(yard: Yard) -> None:
    wrong = "rcs_" + "A" * 43
    for _ in range(OF_AN_ADDRESS):
        with pytest.raises(NotFound):
            opened(yard, wrong)
    with pytest.raises(TooOften):
        opened(yard, wrong)


def test_others_link__is_not_there_for_a_driver_but_a_foreman_ends_it(yard: Yard) -> None:
    link, _ = make(yard, yard.finding(TAPE, finding="damaged"))
    with pytest.raises(NotFound):
        revoke_link(link_id=link.pk, actor=yard["iris"], now=yard.now)
    assert revoke_link(link_id=link.pk, actor=yard["hob"], now=yard.now).revoked_at == yard.now


@pytest.mark.parametrize("by", ["vera", "cal"])
def test_nobody_but_who_may_certify__makes_one(yard: Yard, by: str) -> None:
    with pytest.raises(NotAllowed):
        make(yard, yard.finding(TAPE, finding="damaged"), by=by)


def test_signed_for_the_carrier_itself__refused_because_its_people_have_sign_ins(yard: Yard) -> None:
    name = Carrier.objects.get().name.upper()
    given = {"signer": {"name": "Hob Anselm", "firm": f"  {name} "}}
    found = refused(Invalid, "firm_is_the_carrier", yard, yard.finding(TAPE, finding="damaged"), **given)
    assert found.problems[0].pointer == "/firm"


def test_defect_that_is_repaired_or_not_on_the_link__refused(yard: Yard) -> None:
    first, second = yard.finding(TAPE, finding="damaged"), yard.finding("lamps.trailer.plate", finding="out")
    with pytest.raises(Invalid) as refusal:
        yard.by_link(first, defect=str(second.number))
    assert [(problem.pointer, problem.code) for problem in refusal.value.problems] == [
        ("/certificates/0/defect", "not_on_the_link")
    ]
    yard.certify(second, "sam", photo=photo_on(second))
    with pytest.raises(Conflict) as caught:
        make(yard, second)
    assert caught.value.code == "defect_not_open"


def test_photo_that_was_not_sent__refused_and_the_link_still_serves(yard: Yard) -> None:
    refused(Invalid, "photo_not_stored", yard, yard.finding(TAPE, finding="damaged"), photo="c" * 64)
    assert SigningLink.objects.get().used_at is None


def test_several_of_one_visit__signed_in_one_act_by_one_person(yard: Yard) -> None:
    people = Person.objects.count()
    made = yard.by_link(
        yard.finding(TAPE, finding="damaged"),
        yard.finding("lamps.trailer.plate", finding="out"),
        signer={"name": "Juno Vale", "firm": "Mile Nine Lamps"},
    )
    assert len({certificate.signature.signer_id for certificate in made}) == 1
    assert (len(made), Person.objects.count()) == (2, people + 1)


def test_brakes__the_firms_name_alone_waives_no_qualification(yard: Yard) -> None:
    stroke = yard.stroke()
    found = refused(Invalid, "brake_evidence_needed", yard, stroke, measured=yard.measured())
    assert found.problems[0].pointer == "/brake_evidence"
    [certificate] = yard.by_link(stroke, measured=yard.measured(), **EVIDENCE)
    assert certificate.brake_evidence == EVIDENCE["signer"]["brake_evidence"]


@pytest.mark.parametrize("maker", ["hob", "iris"])
def test_maker_of_the_link__lifts_nothing_that_was_signed_by_it(yard: Yard, maker: str) -> None:
    yard["iris"].current_roles |= {Role.FOREMAN}
    stroke = yard.stroke()
    yard.by_link(stroke, maker=maker, measured=yard.measured(), **EVIDENCE)
    confirm(yard, "ida", "as signed")
    hold = Hold.objects.get(defect=stroke)
    with pytest.raises(NotAllowed) as caught:
        yard.lift(hold, maker)
    assert caught.value.code == "second_person_lifts"
    yard.lift(hold, "ida")


def test_unknown_firm__is_confirmed_by_another_person_before_the_hold_lifts(yard: Yard) -> None:
    stroke = yard.stroke()
    yard.by_link(stroke, maker="hob", measured=yard.measured(), **EVIDENCE)
    hold = Hold.objects.get(defect=stroke)
    for by, said in ((None, ""), ("hob", "as signed"), ("cal", "")):
        if by:
            confirm(yard, by, said)
        with pytest.raises(Conflict) as caught:
            yard.lift(hold, "ida")
        assert (caught.value.code, caught.value.facts["firms"]) == ("firm_not_confirmed", ["Crookspoke Road Tire"])
    confirm(yard, "cal", "the shop manager keeps them")
    yard.lift(hold, "ida")
    hold.refresh_from_db()
    assert hold.lifted_by == yard["ida"]


def test_firm_on_no_record__the_foremen_hear_at_once_but_for_the_links_maker(yard: Yard) -> None:
    Person.objects.filter(pk=yard["ida"].pk).update(language="es")
    yard.by_link(yard.finding(TAPE, finding="damaged"), maker="hob")
    [notification] = Notification.objects.filter(kind="firm_to_confirm")
    assert (notification.person, notification.urgent, notification.facts["firm"]) == (
        yard["ida"],
        True,
        "Crookspoke Road Tire",
    )
    assert notification.facts["what"].endswith(": sucia, rota o despegada")
    assert sentence_of(notification, language="en", zone=ZoneInfo("America/Chicago")).startswith(
        "Crookspoke Road Tire is not confirmed. Rita Sand signed for it: defect"
    )
    waiting = still_active(Notification.objects.filter(kind="firm_to_confirm"))
    confirm(yard, "hob")
    assert list(waiting) == [notification]  # the link's maker is nobody else
    confirm(yard, "vera")
    assert not waiting.all().exists()
    yard.later(MINUTE)
    yard.by_link(yard.finding("lamps.trailer.plate", finding="out"), maker="hob")
    assert Notification.objects.filter(kind="firm_to_confirm").count() == 1


@pytest.mark.parametrize("by", ["iris", "greta"])
def test_nobody_but_foreman_compliance_and_dispatch__confirms(yard: Yard, by: str) -> None:
    with pytest.raises(NotAllowed):
        confirm(yard, by)


# The second look at a refused unit


def look(yard: Yard, refusal: Refusal, brake_evidence: str = "", maker: str = "hob") -> SecondLook:
    _, token = create_link_for_look(refusal_id=refusal.pk, actor=yard[maker], now=yard.later())
    signer = OutsideSigner(
        name="Rita Sand",
        firm="Crookspoke Road Tire",
        method=SignatureMethod.DRAWN,
        signed_at=yard.later(),
        shown="I looked at this unit, and found what I wrote.",
        brake_evidence=brake_evidence,
    )
    return look_by_link(
        link=opened(yard, token), signer=signer, found="stroke 1.6 in", looked_at=yard.now, now=yard.now
    )


def test_second_look_by_an_outside_firm__counts_once_confirmed_by_another(yard: Yard) -> None:
    refusal = yard.refuse(unit=yard.trailer, defects=[yard.stroke()])
    confirm(yard, "hob", "as signed")
    confirm(yard, "cal")
    for evidence, error, code in (
        ("", NotAllowed, "not_qualified_to_look"),
        ("the shop manager", Conflict, "firm_confirmed_first"),
    ):
        with pytest.raises(error) as caught:
            look(yard, refusal, evidence)
        assert caught.value.code == code
        assert not SecondLook.objects.exists()
    confirm(yard, "cal", "the shop manager")

    made = look(yard, refusal, "the shop manager")

    assert made.signature is not None
    assert (made.person.name, made.signature.purpose, made.signature.token_owner) == (
        "Rita Sand",
        "second_look",
        yard["hob"],
    )
    assert not refusal_waits(yard.trailer.pk)


def test_link_for_a_look__never_made_by_whoever_refused_nor_by_a_driver(yard: Yard) -> None:
    refusal = yard.refuse("sol")
    for by in ("sol", "iris"):
        with pytest.raises(NotAllowed) as caught:
            create_link_for_look(refusal_id=refusal.pk, actor=yard[by], now=yard.later())
        assert caught.value.code == "role_not_allowed"
    yard["sol"].current_roles |= {Role.FOREMAN}
    with pytest.raises(NotAllowed) as own:
        create_link_for_look(refusal_id=refusal.pk, actor=yard["sol"], now=yard.later())
    assert own.value.code == "second_person_looks"


def test_link_for_repairs__serves_no_look_and_the_other_way_round(yard: Yard) -> None:
    refusal, defect = yard.refuse(unit=yard.trailer), yard.finding(TAPE, finding="damaged")
    _, token = make(yard, defect, by="hob")
    signer = OutsideSigner("Rita Sand", "Crookspoke", SignatureMethod.DRAWN, yard.now, "I sign.")
    with pytest.raises(Invalid):
        look_by_link(link=opened(yard, token), signer=signer, found="x", looked_at=yard.now, now=yard.now)
    _, other = create_link_for_look(refusal_id=refusal.pk, actor=yard["hob"], now=yard.later())
    with pytest.raises(Invalid):
        sign_by_link(
            link=opened(yard, other), signer=signer, repairs=[Repaired(str(defect.number), "x", "a" * 64)], now=yard.now
        )
