"""Safe listening against the published doses.

Sources: NIOSH recommended exposure limit (85 dBA, 8 h, 3 dB exchange; minutes = 480 / 2 ** ((L - 85) / 3)); OSHA
permissible limit (90 dBA, 8 h, 5 dB); ITU-T H.870 of WHO and ITU (80 dBA for 40 h a week, 1.6 Pa2h; 75 dBA for
children, 0.51 Pa2h).
"""

from typing import get_args

import pytest

from drumgen.trade.cautions import (
    HEARING_LINE,
    LISTENING_RULES,
    NIOSH,
    OSHA,
    SAFE_LISTENING,
    STRAIN,
    WHO_ADULTS,
    WHO_CHILDREN,
    Caution,
    ListeningRule,
)
from drumgen.trade.limits import Mark


@pytest.mark.parametrize(
    ("level_dba", "minutes"),
    [(80, 1524), (85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15), (103, 7.5), (106, 3.75)],
)
def test_niosh_minutes_a_day(level_dba: float, minutes: float) -> None:
    assert 60 * NIOSH.hours_at(level_dba) == pytest.approx(minutes, abs=0.5)


@pytest.mark.parametrize(
    ("level_dba", "adults", "children"),
    [
        (80, 40, 12.6),
        (85, 12.6, 4.0),
        (88, 6.3, 2.0),
        (91, 3.15, 1.0),
        (94, 1.6, 0.5),
        (97, 0.8, 0.25),
        (100, 0.4, 0.12),
        (103, 0.2, 0.06),
        (106, 0.1, 0.03),
    ],
)
def test_who_hours_a_week(level_dba: float, adults: float, children: float) -> None:
    assert WHO_ADULTS.hours_at(level_dba) == pytest.approx(adults, rel=0.05)
    assert WHO_CHILDREN.hours_at(level_dba) == pytest.approx(children, rel=0.05)


@pytest.mark.parametrize(("rule", "dose"), [(WHO_ADULTS, 1.6), (WHO_CHILDREN, 0.51)])
def test_the_who_dose_in_pascal_squared_hours(rule: ListeningRule, dose: float) -> None:
    pascal = 20e-6 * 10 ** (rule.level_dba / 20)
    assert pascal**2 * rule.hours == pytest.approx(dose, rel=0.01)


def test_osha_halves_every_five() -> None:
    assert [OSHA.hours_at(level) for level in (90, 95, 100, 105)] == [8, 4, 2, 1]


def test_the_stricter_of_the_two_american_limits() -> None:
    for level in range(85, 116):
        assert NIOSH.hours_at(level) < OSHA.hours_at(level)


def test_what_the_cautions_say_in_figures() -> None:
    text = " ".join(caution.text for caution in SAFE_LISTENING)
    assert "At 85 dBA eight hours a day are the limit, at 94 one hour, at 100 a quarter of an hour." in text
    assert [NIOSH.hours_at(level) for level in (85, 94, 100)] == [8, 1, 0.25]
    assert {rule.exchange_db for rule in LISTENING_RULES if rule is not OSHA} == {3}
    assert "Every 3 dB more halves the time" in text


def test_the_line_on_hearing_names_whose_each_figure_is() -> None:
    limit, exchange = HEARING_LINE.split(", every ")
    assert (NIOSH.level_dba, NIOSH.hours, NIOSH.period) == (85, 8, "day")
    assert limit.endswith("at 85 dBA eight hours a day are the limit (NIOSH)")  # of WHO and ITU it is 80 for 40 a week
    assert NIOSH.exchange_db == WHO_ADULTS.exchange_db == 3
    assert exchange == "3 dB more halves it (NIOSH, WHO-ITU H.870)"


def test_every_caution_has_a_source_and_says_when_to_stop() -> None:
    for caution in (*SAFE_LISTENING, *STRAIN):
        assert caution.source
        assert caution.text.endswith(".")
    assert STRAIN[-1].text == "Stop at pain, tingling or numbness, and see a clinician."


def test_every_rule_and_caution_says_how_sure_it_is() -> None:
    said: list[ListeningRule | Caution] = [*LISTENING_RULES, *SAFE_LISTENING, *STRAIN]
    for each in said:
        assert each.mark in get_args(Mark)
        assert each.source
