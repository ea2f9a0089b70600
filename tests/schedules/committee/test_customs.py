"""The society's own rules: each beside the published one, longer freely, shorter for a reason only."""

from datetime import date

import pytest
from django.urls import reverse

from plots.models import GroundCustoms, SocietyRest
from plots.rotation import rest_rules
from tests import factories

URL = "committee-customs"


def as_published(**changed) -> dict[str, str]:
    sent = {"root_after_root_seasons": "0", "failed_counts": "on", "version": "1"}
    for family, rule in rest_rules().items():
        sent |= {
            f"least_{family}": str(rule.minimum_seasons),
            f"advised_{family}": str(rule.recommended_seasons),
            f"because_{family}": "",
        }
    return {**sent, **changed}


def keep(client, **changed):
    return client.post(reverse(URL), {k: v for k, v in as_published(**changed).items() if v is not None})


def test_each_published_rest_stands_beside_with_its_reading_and_source(look):
    page = look(URL)
    assert "<h1>Your society rests its ground as is published</h1>" in page
    # The table of strategies says '1 in 3 years at the least and 1 in 4 recommended' of onions: 2 and 3.
    assert (
        "Published: 1 in 3 years at the least and 1 in 4 recommended. Read as “1 in N”, that is 2 full "
        "seasons at the least and 3 advised." in page
    )
    assert "Sources disagree: UK field work (HDC studentship CP 46, about 2010) found no effect" in page
    assert page.count("(read)") + page.count("(partly read)") == len(rest_rules())


def test_a_longer_rest_is_kept_without_a_reason_and_judged_by(cast, dee, look):
    factories.make_sowing(cast.bed, "parsnip", season=2020, state="lifted", ended_on=date(2020, 9, 1))
    sowing = factories.make_sowing(cast.bed, "carrot-early", season=2027)
    assert keep(dee, advised_Apiaceae="8").status_code == 302
    assert (SocietyRest.objects.get().family, SocietyRest.objects.get().recommended_seasons) == (
        "Apiaceae",
        8,
    )
    sowing.refresh_from_db()
    assert sowing.verdict.level == "short"
    page = look(URL)
    assert "<h1>Your society keeps one rest of its own</h1>" in page
    assert "(Apiaceae), your own rest" in page


def test_what_is_as_published_is_no_rule_of_ones_own(dee):
    keep(dee)
    assert not SocietyRest.objects.exists()


def test_a_shorter_rest_wants_its_reason_at_its_family(dee):
    answer = keep(dee, least_Apiaceae="1", root_after_root_seasons="2")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert page.count("A rest shorter than the published one needs its reason; give it.") == 1
    assert 'value="1"' in page
    assert not SocietyRest.objects.exists()
    assert not GroundCustoms.objects.exists()

    keep(dee, least_Apiaceae="1", because_Apiaceae="New soil was brought in.")
    assert SocietyRest.objects.get().because == "New soil was brought in."


def test_root_after_root_and_failed_crops_are_switched(dee, look):
    page = look(URL)
    assert 'name="failed_counts" id="id_failed_counts" checked' in page
    keep(dee, root_after_root_seasons="2", failed_counts=None)
    row = GroundCustoms.objects.get()
    assert (row.root_after_root_seasons, row.failed_counts) == (2, False)
    assert 'id="id_failed_counts" checked' not in look(URL)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"least_Apiaceae": ""}, "Give full seasons as a whole number, 0 to 30."),
        ({"least_Apiaceae": "three"}, "Give full seasons as a whole number"),
        ({"advised_Apiaceae": "31"}, "Give full seasons as a whole number"),
        ({"advised_Apiaceae": "-1"}, "Give full seasons as a whole number"),
        ({"least_Apiaceae": "9"}, "the minimum not above the recommended"),
        ({"root_after_root_seasons": "99"}, "Give full seasons as a whole number"),
        ({"because_Apiaceae": "x" * 401}, "Say it in 400 letters; these are 401."),
        ({"version": None}, "Load it again, then repeat."),
    ],
)
def test_what_cannot_be_keeps_nothing_and_says_why(dee, wrong, said):
    answer = keep(dee, **wrong)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not GroundCustoms.objects.exists()


def test_rules_kept_over_newer_ones_are_asked_about_once(cast, dee):
    keep(dee, advised_Apiaceae="8")
    answer = keep(dee, advised_Brassicaceae="9")
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Rests: now carrot family 3 and 8" in page
    assert 'name="version" value="2"' in page
    assert SocietyRest.objects.get().family == "Apiaceae"


def test_the_journal_tells_of_it(dee, look):
    keep(dee, root_after_root_seasons="1")
    assert "changed the society’s own rules for its ground" in look("committee-journal")
