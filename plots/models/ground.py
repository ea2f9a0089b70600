"""The land. All outlines lie in one frame per site: metres east and north of the site's corner."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from plots.insects import all_insects, validate_insects
from plots.outlines import Corners, validate_outline
from society.models import Society
from society.zones import validate_zone


class SoilKind(models.TextChoices):
    SAND = "sand", "sand"
    LOAM = "loam", "loam"
    SILT = "silt", "silt"
    CLAY = "clay", "clay"
    MIX = "mix", "potting mix"


class FrostWords(models.TextChoices):
    """Whose scale of frost words a site speaks."""

    UK = "uk", "British: slight, moderate, severe"
    US = "us", "North American: freeze, hard freeze"
    DE = "de", "German: light, moderate, strong"


class Site(models.Model):
    """One piece of land with one frame, one climate, one time zone and one growing year."""

    society = models.ForeignKey(Society, on_delete=models.PROTECT, related_name="sites")
    name = models.CharField(max_length=120)
    slug = models.SlugField(unique=True)
    latitude = models.FloatField(validators=[MinValueValidator(-90), MaxValueValidator(90)])
    longitude = models.FloatField(validators=[MinValueValidator(-180), MaxValueValidator(180)])
    height_m = models.FloatField(default=0, help_text="metres above the sea")
    zone = models.CharField(max_length=64, validators=[validate_zone])
    soil = models.CharField(max_length=10, choices=SoilKind.choices, default=SoilKind.LOAM)
    season_month = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    season_day = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(28)]
    )
    insects: list[str] = models.JSONField(  # type: ignore[assignment]
        default=all_insects, blank=True, validators=[validate_insects], help_text="those known in the region"
    )
    frost_words = models.CharField(max_length=2, choices=FrostWords.choices, default=FrostWords.UK)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude__range=(-90, 90)) & Q(longitude__range=(-180, 180)),
                name="site_lies_on_the_globe",
            ),
            models.CheckConstraint(
                condition=Q(season_month__range=(1, 12)) & Q(season_day__range=(1, 28)),
                name="season_start_comes_every_year",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Plot(models.Model):
    """One numbered holding. Area is stored in square metres; poles are a way of showing it."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="plots")
    number = models.CharField(max_length=12)
    outline: Corners = models.JSONField(validators=[validate_outline])  # type: ignore[assignment]
    area_m2 = models.DecimalField(max_digits=9, decimal_places=2)
    record_since = models.IntegerField(
        null=True, blank=True, help_text="first season of which the ground record is complete"
    )
    laid_out_on = models.DateField()
    given_up_on = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["site", "number"]
        constraints = [
            models.UniqueConstraint(fields=["site", "number"], name="plot_number_is_unique_on_its_site"),
            models.CheckConstraint(condition=Q(area_m2__gt=0), name="plot_has_an_area"),
        ]

    def __str__(self) -> str:
        return f"plot {self.number}"


class BedKind(models.TextChoices):
    OPEN = "open", "open ground"
    RAISED = "raised", "raised bed"
    CONTAINER = "container", "container"


class Bed(models.Model):
    """One worked piece of a plot: a rectangle at an angle, with the days it came and went."""

    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="beds")
    name = models.CharField(max_length=40)
    kind = models.CharField(max_length=10, choices=BedKind.choices, default=BedKind.OPEN)
    outline: Corners = models.JSONField(validators=[validate_outline])  # type: ignore[assignment]
    height_m = models.FloatField(default=0, validators=[MinValueValidator(0)])
    soil = models.CharField(max_length=10, choices=SoilKind.choices, blank=True)
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["plot", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["plot", "name"],
                condition=Q(until__isnull=True),
                name="bed_name_is_unique_while_it_lasts",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="bed_ends_after_it_begins"
            ),
            models.CheckConstraint(condition=Q(height_m__gte=0), name="bed_is_not_below_ground"),
        ]

    def __str__(self) -> str:
        return self.name
