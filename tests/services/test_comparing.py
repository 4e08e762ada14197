"""What is otherwise: variants, revisions and builds side by side, and what a remedy changes."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from staff import BEN, CAT, at_its_end
from voltwright.quantity.errors import (
    FigureError,
    JobError,
)
from voltwright.services.views import BuildRow, Which
from voltwright.services.workshop import Workshop


def test_variants_revisions_and_builds_stand_side_by_side(shop: Workshop, coupe: BuildRow) -> None:
    shop.revisions.save(BEN, coupe.id, "quoted", since=1)
    shop.edits.change(BEN, coupe.id, {"brief.load": "60 kg"}, since=1)
    other = shop.builds.start_example(BEN, "roadster")
    variant = next(iter(shop._shared.built(Which(coupe.id)).build.variants))
    first = Which(coupe.id)
    seen = shop.comparing.compare(
        CAT, first, (Which(coupe.id, variant=variant), Which(coupe.id, revision=1), Which(other.id))
    )
    assert seen.names == ("coupe", variant, "coupe, revision 1", "roadster")
    of_variant, of_revision, _ = seen.others
    assert of_variant.changes
    moved = {each.key: each for each in of_revision.moved}
    assert (moved["mass.laden"].by, moved["mass.laden"].verdict) == ("−20 kg", "better")
    assert all(len(row) == 5 for row in seen.rows[:-1])
    for none in ((), (first,) * 9):
        for ask in (shop.comparing.compare, shop.comparing.begin, shop.papers.compare):
            with pytest.raises(FigureError, match="1 to 8"):
                ask(CAT, first, none)


def test_a_comparison_is_made_as_a_job_and_as_a_paper(shop: Workshop, coupe: BuildRow) -> None:
    first, variant = Which(coupe.id), next(iter(shop._shared.built(Which(coupe.id)).build.variants))
    seen = shop.comparing.begin(CAT, first, (replace(first, variant=variant),))
    paper = shop.papers.compare(CAT, first, (replace(first, variant=variant),))
    done = at_its_end(shop, CAT, seen.id)
    assert (done.state, done.of, done.says) == ("done", 2, f"coupe, {variant}")
    view = shop.jobs.result(CAT, seen.id)
    assert any(each.band for each in view.others[0].moved)
    assert at_its_end(shop, CAT, paper.id).state == "done"
    assert shop.papers.list(CAT, paper.id) == ("comparison.pdf",)
    assert shop.papers.file(CAT, paper.id, "comparison.pdf").content.startswith(b"%PDF-")
    with pytest.raises(JobError, match="This job makes no papers"):
        shop.papers.list(CAT, seen.id)


def test_what_two_builds_have_in_common_does_not_blur_their_difference(shop: Workshop, coupe: BuildRow) -> None:
    """Of A ± b nine tenths lie within b, so 60 ± 10 kg of load in place of 40 kg are 10 to 30 kg more, whatever the donor weighs."""
    shop.edits.change(BEN, coupe.id, {"brief.load": "60 kg ± 10 kg"}, since=1)
    view = shop.comparing.compare(CAT, Which(coupe.id, edit=1), (Which(coupe.id),), bands=True)
    laden = next(each for each in view.others[0].moved if each.key == "mass.laden")
    assert (laden.by, laden.band, laden.sure) == ("+20 kg", "+10 to +30 kg", True)


def test_prices_in_two_currencies_have_no_difference(shop: Workshop, coupe: BuildRow) -> None:
    other = shop.builds.start_example(BEN, "coupe", car_name="another")
    text = shop.builds.read(CAT, Which(other.id)).text
    shop.edits.write(BEN, other.id, text.replace(" EUR", " GBP").replace("currency: EUR", "currency: GBP"), since=1)
    seen = shop.comparing.compare(CAT, Which(coupe.id), (Which(other.id),))
    labour = next(each for each in seen.others[0].moved if each.key == "cost.labour")
    assert (labour.by, labour.verdict) == ("", "")
    assert (labour.before[-3:], labour.after[-3:]) == ("EUR", "GBP")


def test_a_remedy_is_taken_as_an_edit_and_the_finding_goes(shop: Workshop, coupe: BuildRow) -> None:
    shop.edits.change(BEN, coupe.id, {"donor.limits.rear_axle": "600 kg"}, since=1)
    view = shop.figures.assess(CAT, Which(coupe.id))
    finding = next(each for each in view.findings if each.remedies)
    effects = shop.mending.effects(CAT, Which(coupe.id), finding.key)
    assert [each.remedy for each in effects] == list(finding.remedies)
    assert all(each.in_short for each in effects)
    steps = json.loads(json.dumps(dict(finding.remedies[0].changes)))
    with pytest.raises(FigureError, match=r"The step '.*: 9999 kg' is no longer among those .*; nothing was changed"):
        shop.mending.apply(BEN, coupe.id, finding.key, dict.fromkeys(steps, "9999 kg"), since=2)
    with pytest.raises(FigureError, match="nothing was changed"):  # as JSON may bring it
        shop.mending.apply(BEN, coupe.id, finding.key, dict.fromkeys(steps, math.nan), since=2)
    draft = shop.mending.apply(BEN, coupe.id, finding.key, steps, since=2)
    assert draft.number == 3
    assert finding.key not in {each.key for each in shop.figures.assess(CAT, Which(coupe.id)).findings}
    entry = shop.builds.log(CAT, coupe.id)[-1]
    assert set(entry.path.split(", ")) == set(finding.remedies[0].changes)
    with pytest.raises(FigureError, match=f"no finding '{finding.key}'"):
        shop.mending.apply(BEN, coupe.id, finding.key, steps, since=3)


def test_a_repair_that_a_step_asks_for_is_not_yet_measured(shop: Workshop, coupe: BuildRow) -> None:
    shop.edits.change(BEN, coupe.id, {"donor.brakes.parking_force": "1500 N", "brief.park_gradient": "25 %"}, since=1)
    key = "brakes.hold_gradient"
    seen = {each.key: each for each in shop.figures.assess(CAT, Which(coupe.id)).findings}
    assert "brakes.parking_unmeasured" not in seen, "the first force was entered"
    steps = next(each.changes for each in seen[key].remedies if "donor.brakes.parking_force" in each.changes)
    shop.mending.apply(BEN, coupe.id, key, steps, since=2)
    now = {each.key: each for each in shop.figures.assess(CAT, Which(coupe.id)).findings}
    assert key not in now
    assert steps["donor.brakes.parking_force"] in now["brakes.parking_unmeasured"].detail
    text = shop.builds.read(CAT, Which(coupe.id)).text
    assert "how: assumed" in text.partition("parking_force:")[2].partition("}")[0]
