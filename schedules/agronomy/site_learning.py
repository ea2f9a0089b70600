"""What a site teaches the general formulas: its soil against the estimate, its liftings against heat sums."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

OUR_CONSTRUCTION = "our own construction: a mean drawn towards nothing while there is little to go by"

USED_DEPTHS_MM = (50, 150)
SEASON_HALF_LIFE_DAYS = 45.0
AGE_HALF_LIFE_DAYS = 730.0
SOIL_PRIOR_DAYS = 3.0
WILD_C = 6.0
LARGEST_CORRECTION_C = 4.0
MOST_DAYS = 1000
YEAR_DAYS = 365.25

GROWTH_PRIOR = 4.0
GROWTH_RANGE = (0.7, 1.4)
TOO_EARLY = 0.6
TOO_LATE = 1.4
STANDSTILL_SHARE = 0.05
LATE_WEIGHT = 0.5


@dataclass(frozen=True, slots=True)
class SoilLearning:
    """What thermometer readings say of the soil estimate.

    Parameters
    ----------
    correction_c : float
        To be added to the estimate today, 0 without readings. [°C]
    error_before_c, error_after_c : float or None
        Mean absolute error at the readings of the estimate as it comes, and of the estimate corrected by all
        other days' readings. [°C] None without readings, the second also with one day alone.
    days : int
        Days with readings, which is what counts.
    """

    correction_c: float = 0.0
    error_before_c: float | None = None
    error_after_c: float | None = None
    days: int = 0


def soil_correction(days: ArrayLike, errors_c: ArrayLike, today: np.datetime64) -> SoilLearning:
    """Weigh what was read in the ground against what was estimated.

    Parameters
    ----------
    days : array_like of datetime64[D], shape (n,)
        Day of each reading, in any order; several of one day count as one, their mean.
    errors_c : array_like, shape (n,)
        Reading minus uncorrected estimate at about 10 cm. [°C] NaN is left out.
    today : datetime64[D]
        Day for which the correction is wanted.

    Returns
    -------
    SoilLearning
        The correction lies within ±4 °C, and one day's reading alone moves it by less than 1.6 °C.

    Raises
    ------
    ValueError
        When ``days`` and ``errors_c`` differ in length.

    Notes
    -----
    ``sum(w e) / (sum(w) + 3)`` with errors held to ±6 °C. A day's weight w halves with every 45 days by which
    its time of year lies away and with every two years of age: what the estimate gets wrong (sun, shelter,
    wet) comes back with the season. The 3 days in the divisor stand for knowing nothing: with as much weight
    of readings the correction is half of what they say. This is the mean of a normal variable with a normal
    prior about 0 whose variance is a third of one day's. All figures are our own construction; 6 °C is nearly
    twice the 3.5 °C within which the estimate's paper finds 77 to 96 % of days.

    The error after correction leaves each day's own reading out and takes all others as they would weigh on
    that day, later ones too.
    """
    dates, errors = _by_day(days, errors_c)
    if not dates.size:
        return SoilLearning()
    held = np.clip(errors, -WILD_C, WILD_C)
    today_c = float(_drawn_in(_weights(np.array([today], dtype="datetime64[D]"), dates), held)[0])
    return SoilLearning(
        correction_c=today_c,
        error_before_c=float(np.abs(errors).mean()),
        error_after_c=_error_left(dates, errors, held),
        days=int(dates.size),
    )


def _by_day(days: ArrayLike, errors_c: ArrayLike) -> tuple[NDArray[np.datetime64], FloatArray]:
    """Return each day once with its mean error, in order; of very many the latest."""
    dates = np.asarray(days, dtype="datetime64[D]").ravel()
    errors = np.asarray(errors_c, dtype=float).ravel()
    if dates.size != errors.size:
        raise ValueError(
            f"soil correction: {dates.size} days and {errors.size} errors; give one error for each day"
        )
    known = np.isfinite(errors)
    each, at = np.unique(dates[known], return_inverse=True)
    means = np.bincount(at, weights=errors[known], minlength=each.size) / np.bincount(at, minlength=each.size)
    return each[-MOST_DAYS:], means[-MOST_DAYS:]


def _weights(of: NDArray[np.datetime64], dates: NDArray[np.datetime64]) -> FloatArray:
    """Return how much each of ``dates`` says of each day ``of``, shape (len(of), len(dates))."""
    apart = np.abs((of[:, None] - dates).astype(np.int64))
    season = np.abs(apart - YEAR_DAYS * np.round(apart / YEAR_DAYS))
    weights: FloatArray = 0.5 ** (season / SEASON_HALF_LIFE_DAYS + apart / AGE_HALF_LIFE_DAYS)
    return weights


def _drawn_in(weights: FloatArray, errors_c: FloatArray) -> FloatArray:
    mean: FloatArray = (weights @ errors_c) / (weights.sum(axis=-1) + SOIL_PRIOR_DAYS)
    return np.clip(mean, -LARGEST_CORRECTION_C, LARGEST_CORRECTION_C)


def _error_left(dates: NDArray[np.datetime64], errors: FloatArray, held: FloatArray) -> float | None:
    if dates.size < 2:
        return None
    weights = _weights(dates, dates)
    np.fill_diagonal(weights, 0.0)
    return float(np.abs(errors - _drawn_in(weights, held)).mean())


@dataclass(frozen=True, slots=True)
class Lifting:
    """One recorded lifting against the heat sums that were expected of the crop.

    Parameters
    ----------
    gathered_cd : float
        Degree days from the day it was sown or set out to the day before it was first lifted. [°C day]
    last_month_cd : float
        Of these, the degree days of the last thirty days. [°C day]
    first_cd, middle_cd, last_cd : float
        Sums expected for the fewest, the middle and the most days to maturity. [°C day]
    waits : bool
        Whether the crop may be left when it is ready, or is picked over weeks: a late lifting of it may only
        mean that nobody was in a hurry.
    """

    gathered_cd: float
    last_month_cd: float
    first_cd: float
    middle_cd: float
    last_cd: float
    waits: bool

    @property
    def weight(self) -> float:
        """How much it says of when the crop was ready, 0 to 1; the rule stands at ``growth_factor``."""
        if not TOO_EARLY * self.first_cd <= self.gathered_cd <= TOO_LATE * self.last_cd:
            return 0.0
        if self.last_month_cd < STANDSTILL_SHARE * self.middle_cd:
            return 0.0
        if self.gathered_cd <= self.last_cd:
            return 1.0
        return 0.0 if self.waits else LATE_WEIGHT

    @property
    def ratio(self) -> float:
        """Heat gathered against the middle sum, above 0; of a crop that waits never more than 1."""
        ratio = self.gathered_cd / self.middle_cd
        return min(ratio, 1.0) if self.waits else ratio


@dataclass(frozen=True, slots=True)
class GrowthLearning:
    """By how much a crop's heat sum is stretched at a site, and how many liftings say so."""

    factor: float = 1.0
    liftings: int = 0


def growth_factor(liftings: list[Lifting]) -> GrowthLearning:
    """Learn from recorded liftings how much heat a crop needs at a site.

    Parameters
    ----------
    liftings : list of Lifting
        All that is on record of one crop at one site, in any order.

    Returns
    -------
    GrowthLearning
        A factor between 0.7 and 1.4, and the number of liftings that counted; 1 and 0 without any.

    Notes
    -----
    ``exp(sum(w log(gathered / middle)) / (sum(w) + 4))``, 4 liftings standing for knowing nothing. A day of
    lifting is at best the latest day on which the crop can have become ready, so:

    - under 0.6 of the sum of the fewest days it was thinned, or pulled small on purpose: left out;
    - up to the sum of the most days it counts in full; of a crop that waits, one past the middle counts as
      one at the middle, since it cannot tell slow growth from a grower in no hurry;
    - beyond that it counts half, and of a crop that waits not at all;
    - over 1.4 times the sum of the most days, or when the last thirty days brought less than a twentieth of
      the middle sum (it was fetched out of ground that no longer grows anything): left out.

    So a crop that waits can only turn out quicker than printed, never slower.
    All of it is our own construction, no published source. What was cleared or failed is no lifting.
    """
    counted = [each for each in liftings if each.weight > 0]
    if not counted:
        return GrowthLearning()
    weights = np.array([each.weight for each in counted])
    ratios = np.array([each.ratio for each in counted])
    factor = np.exp((weights * np.log(ratios)).sum() / (weights.sum() + GROWTH_PRIOR))
    return GrowthLearning(float(np.clip(factor, *GROWTH_RANGE)), len(counted))
