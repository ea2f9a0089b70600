"""Time: weather, jobs, letters, and what the noticeboard screen may read."""

from schedules.models.deliveries import Delivery, DeliveryStep
from schedules.models.jobs import Job, Outlook
from schedules.models.notices import Event, FeedAddress, Notice, Screen
from schedules.models.pairings import ScreenPairing
from schedules.models.sweeps import Sweep
from schedules.models.weather import NormalMonth, WeatherDay

__all__ = [
    "Delivery",
    "DeliveryStep",
    "Event",
    "FeedAddress",
    "Job",
    "NormalMonth",
    "Notice",
    "Outlook",
    "Screen",
    "ScreenPairing",
    "Sweep",
    "WeatherDay",
]
