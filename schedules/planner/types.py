"""What the planner is asked, what it knows of the site, and what it answers."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from plots.crops import INSECTS, Crop

Scalar = str | int | float | bool | None
Values = Mapping[str, Scalar]


class PlanFault(ValueError):
    """A request that cannot be planned; the message names the field and the remedy."""


class Cover(StrEnum):
    NONE = "none"
    CLEAR = "clear"
    BLACK = "black"
    FLEECE = "fleece"
    FILM = "film"
    MESH = "mesh"


class Kind(StrEnum):
    """Kinds of job, in the order in which a sowing asks for them."""

    RAISE = "raise"
    WARM = "warm"
    SOW = "sow"
    COVER = "cover"
    SHOWING = "showing"
    WEED = "weed"
    THIN = "thin"
    EARTH_UP = "earth_up"
    WATER = "water"
    UNCOVER = "uncover"
    NECKS = "necks"
    LIFT = "lift"
    STORE = "store"
    STORE_CHECK = "store_check"
    RESOW = "resow"


class State(StrEnum):
    OPEN = "open"
    DONE = "done"
    NOT_NEEDED = "not_needed"
    PUT_OFF = "put_off"


@dataclass(frozen=True, slots=True)
class Window:
    """A job's three dates."""

    start: date
    best: date
    by: date

    def __post_init__(self) -> None:
        if not self.start <= self.best <= self.by:
            raise ValueError(f"a window runs from <= best <= by, not {self.start}, {self.best}, {self.by}")


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a date is what it is: a rule, the values it used and where they come from."""

    rule: str
    values: Values
    source: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was recorded of a job: done on a day, not needed, or put off until a day."""

    state: State
    on: date | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "state", State(self.state))
        if self.state is State.OPEN:
            raise ValueError("an outcome is done, not_needed or put_off; leave an open job out of the record")
        if self.on is None and self.state is not State.NOT_NEEDED:
            raise ValueError(f"an outcome of {self.state} needs its date")


Record = Mapping[str, Outcome]


@dataclass(frozen=True, slots=True)
class SowingRequest:
    """One crop to be sown once; ``sow_on`` None means when the ground is fit, not before ``not_before``.

    ``area_m2`` is the ground it takes, None where nobody said. ``growth_factor`` stretches the crop's heat
    sum by what ``growth_liftings`` recorded liftings of it at the site showed; 1 without any.
    """

    key: str
    crop: Crop
    sow_on: date | None
    not_before: date
    cover: Cover = Cover.NONE
    container_height_cm: float | None = None
    same_family_last_year: bool = False
    variety_days_min: float | None = None
    variety_days_max: float | None = None
    area_m2: float | None = None
    growth_factor: float = 1.0
    growth_liftings: int = 0

    def __post_init__(self) -> None:
        object.__setattr__(self, "cover", Cover(self.cover))
        if self.container_height_cm is not None and self.container_height_cm <= 0:
            raise PlanFault(
                "container_height_cm: a container has a height above 0 cm; leave it out for open ground"
            )
        if self.has_days and self.days_min > self.days_max:
            raise PlanFault("variety_days_min is above variety_days_max; swap them")

    @property
    def has_days(self) -> bool:
        """True where the variety or the crop says how long it takes."""
        return self.variety_days_min is not None or self.crop.has("days_to_maturity_min")

    @property
    def days_min(self) -> float:
        """Fewest days to maturity at the reference temperature, the variety's own where given."""
        return self.variety_days_min or self.crop.number("days_to_maturity_min")

    @property
    def days_max(self) -> float:
        published = self.crop.get("days_to_maturity_max")
        most = published.value if published and isinstance(published.value, float) else self.days_min
        return self.variety_days_max or max(self.days_min, most)

    @property
    def days_middle(self) -> float:
        return (self.days_min + self.days_max) / 2


@dataclass(frozen=True, slots=True)
class SiteFacts:
    """Where the ground lies and what is known of it. Latitude and longitude in degrees, south negative.

    ``insects`` are those about in the region. ``soil_correction_c`` is added to the soil estimate, from
    ``soil_readings`` thermometer readings; ``soil_error_c`` is the estimate's mean absolute error at them so
    far, None without readings.
    """

    latitude: float
    longitude: float
    zone: str
    insects: frozenset[str] = INSECTS
    soil: str = "loam"
    height_m: float = 0.0
    soil_correction_c: float = 0.0
    soil_error_c: float | None = None
    soil_readings: int = 0

    @property
    def southern(self) -> bool:
        return self.latitude < 0


@dataclass(frozen=True, slots=True)
class Job:
    """One dated piece of work. The key has no date in it, so it survives every move of the dates."""

    key: str
    kind: Kind
    stage: int
    window: Window
    reason: Reason
    cautions: tuple[str, ...] = ()
    state: State = State.OPEN
    done_on: date | None = None
    notes: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer: the season for sowing, when the rows should show, the jobs in order, the warnings.

    ``sow`` is None when no day within two years is fit. ``outlook`` is what is good to know and asks for
    nothing: how the ground stands for water, what the seed comes to, what frost will do.
    """

    request_key: str
    crop_key: str
    sow: Window | None
    emergence: Window | None
    jobs: tuple[Job, ...]
    warnings: tuple[Reason, ...] = field(default=())
    outlook: tuple[Reason, ...] = ()
