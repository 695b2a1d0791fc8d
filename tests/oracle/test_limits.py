"""The derived figures of limbs, computed again from the published ones.

Sources: P. M. Fitts 1954 (mean times of reciprocal tapping), as I. S. MacKenzie 2018, table 17.1, reports them, with
its mean, standard deviation and mean index of performance; the line of MacKenzie 1992 through the same table.
"""

from math import log2
from statistics import correlation, linear_regression, mean, stdev
from typing import get_args

import pytest

from drumgen.trade.limits import (
    EFFECTIVE_FIT,
    FITTS_FIT,
    FITTS_TAPPING,
    FOOT_FIT,
    FOOT_PAIR,
    FOOT_REPEATED,
    HAND_REBOUND,
    HAND_REPEATED,
    MOVE_FACTOR,
    MOVE_FITS,
    RATES,
    SHANNON_FIT,
    SPACINGS,
    WELFORD_FIT,
    WORKING_LIMITS,
    Mark,
    MoveFit,
    Rate,
    Spacing,
)

TIMES = [row.move_ms for row in FITTS_TAPPING]


def test_the_sixteen_conditions() -> None:
    assert [(row.reach_in, row.width_in) for row in FITTS_TAPPING] == [
        (reach, width) for reach in (2, 4, 8, 16) for width in (0.25, 0.5, 1, 2)
    ]


def test_what_the_report_says_of_the_whole_table() -> None:
    performance = [1000 * log2(2 * row.reach_in / row.width_in) / row.move_ms for row in FITTS_TAPPING]
    assert round(mean(TIMES), 1) == 391.5
    assert round(stdev(TIMES), 1) == 157.3
    assert round(mean(performance), 2) == 10.10


def test_harder_is_slower_within_each_reach_and_each_width() -> None:
    for easier in FITTS_TAPPING:
        for harder in FITTS_TAPPING:
            further = harder.reach_in > easier.reach_in and harder.width_in == easier.width_in
            narrower = harder.reach_in == easier.reach_in and harder.width_in < easier.width_in
            if further or narrower:
                assert harder.move_ms > easier.move_ms


INDEXES = {
    FITTS_FIT: [log2(2 * row.reach_in / row.width_in) for row in FITTS_TAPPING],
    WELFORD_FIT: [log2(row.reach_in / row.width_in + 0.5) for row in FITTS_TAPPING],
    SHANNON_FIT: [log2(row.reach_in / row.width_in + 1) for row in FITTS_TAPPING],
    EFFECTIVE_FIT: [log2(row.reach_in / row.effective_width_in + 1) for row in FITTS_TAPPING],
}


@pytest.mark.parametrize("fit", INDEXES, ids=lambda fit: fit.name)
def test_least_squares_gives_the_line(fit: MoveFit) -> None:
    line = linear_regression(INDEXES[fit], TIMES)
    assert round(line.slope, 1) == fit.slope_ms
    assert round(line.intercept, 1) == fit.intercept_ms
    assert round(correlation(INDEXES[fit], TIMES), 4) == fit.r


@pytest.mark.parametrize(
    ("fit", "bits_a_second"), [(FITTS_FIT, 10.6), (WELFORD_FIT, 9.6), (SHANNON_FIT, 9.0), (EFFECTIVE_FIT, 8.2)]
)
def test_a_slope_is_an_index_of_performance(fit: MoveFit, bits_a_second: float) -> None:
    assert round(1000 / fit.slope_ms, 1) == bits_a_second


@pytest.mark.parametrize("fit", [FITTS_FIT, WELFORD_FIT, SHANNON_FIT], ids=lambda fit: fit.name)
def test_a_fit_computes_its_own_index(fit: MoveFit) -> None:
    bits = [fit.bits(reach=row.reach_in, width=row.width_in) for row in FITTS_TAPPING]
    assert bits == pytest.approx(INDEXES[fit])
    errors = [fit.move_ms(reach=row.reach_in, width=row.width_in) - row.move_ms for row in FITTS_TAPPING]
    assert abs(mean(errors)) < 0.3


def test_fits_1992_explains_966_thousandths() -> None:
    assert FITTS_FIT.r is not None
    assert round(FITTS_FIT.r**2, 3) == 0.966


def test_the_foots_line() -> None:
    assert FOOT_FIT.move_ms(reach=20, width=10) == 187 + 85 * 2


# Shannon's row at two reaches of a kit, in inches: derived, extrapolated.
@pytest.mark.parametrize(
    ("reach", "width", "bits", "low_ms", "high_ms"),
    [(16, 14, 1.1, 148, 152), (24, 4, 2.8, 338, 343), (24, 2, 3.7, 438, 442)],
)
def test_moves_on_a_kit(reach: float, width: float, bits: float, low_ms: float, high_ms: float) -> None:
    assert round(SHANNON_FIT.bits(reach=reach, width=width), 1) == bits
    assert low_ms < SHANNON_FIT.move_ms(reach=reach, width=width) < high_ms


def test_a_fit_does_not_mind_the_unit() -> None:
    inches = SHANNON_FIT.move_ms(reach=16, width=14)
    assert SHANNON_FIT.move_ms(reach=40.64, width=35.56) == pytest.approx(inches)


def test_levels_go_from_slow_to_quick() -> None:
    for limit in WORKING_LIMITS:
        assert limit.learner > limit.player > limit.record > 0
        assert [limit.at("learner"), limit.at("player"), limit.at("record")] == [
            limit.learner,
            limit.player,
            limit.record,
        ]


def test_limits_rest_on_the_rates() -> None:
    hz = {rate.what: rate for rate in RATES}
    assert 1000 / hz["one hand, stick, winner of a contest"].high_hz == HAND_REPEATED.record
    assert round(1000 / hz["one hand, stick, where timing was worst"].low_hz) == HAND_REPEATED.player
    assert 1000 / hz["one hand or finger tapping, general ceiling"].low_hz == HAND_REPEATED.learner
    assert 2000 / hz["two feet on a double pedal, trained players"].high_hz == FOOT_REPEATED.record
    assert 1000 / hz["one foot, bass drum, sustained"].low_hz == FOOT_REPEATED.learner


def test_the_order_of_the_limits() -> None:
    for level in ("learner", "player", "record"):
        assert HAND_REBOUND.at(level) < HAND_REPEATED.at(level)
        assert FOOT_PAIR.at(level) < FOOT_REPEATED.at(level)
    assert MOVE_FACTOR.player == 1


def test_ranges_are_ranges() -> None:
    assert all(rate.low_hz <= rate.high_hz for rate in RATES)
    assert all(spacing.low_ms <= spacing.high_ms for spacing in SPACINGS)


def test_a_roll_of_32nds_at_120() -> None:
    roll = next(spacing for spacing in SPACINGS if "32nds" in spacing.what)
    assert roll.low_ms == 60_000 / 120 / 8


def test_every_row_has_a_source_and_a_true_mark() -> None:
    rows: list[MoveFit | Rate | Spacing] = [*MOVE_FITS, *RATES, *SPACINGS]
    assert all(row.source for row in rows)
    assert all(row.mark == "memory" for row in rows if row.source == "none")
    for limit in WORKING_LIMITS:
        assert limit.source
        assert "published" not in limit.marks


FIGURES: tuple[Rate | Spacing | MoveFit, ...] = (*RATES, *SPACINGS, *MOVE_FITS)


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: f"{getattr(figure, 'what', type(figure).__name__)}")
def test_each_figure_says_how_sure_it_is_and_where_it_comes_from(figure: Rate | Spacing | MoveFit) -> None:
    assert figure.mark in get_args(Mark)
    assert figure.source
    if figure.source == "none":
        assert figure.mark in ("memory", "derived")


def test_each_limit_says_so_of_each_level() -> None:
    for limit in WORKING_LIMITS:
        assert set(limit.marks) <= {*get_args(Mark)}
        assert limit.source
