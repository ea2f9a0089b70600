"""Time: weather, jobs, letters, and what the noticeboard screen may read."""

from schedules.models.calendars import CalendarAddress
from schedules.models.deliveries import Delivery, DeliveryStep
from schedules.models.forecasts import ForecastHour, ForecastState
from schedules.models.jobs import Explanation, Job, Outlook
from schedules.models.mail_room import MailRoom
from schedules.models.notices import Event, Notice, Screen
from schedules.models.pairings import ScreenPairing
from schedules.models.readings import Reading
from schedules.models.site_days import SiteDay
from schedules.models.sweeps import Sweep
from schedules.models.weather import NormalMonth, SetAside, WeatherDay

__all__ = [
    "CalendarAddress",
    "Delivery",
    "DeliveryStep",
    "Event",
    "Explanation",
    "ForecastHour",
    "ForecastState",
    "Job",
    "MailRoom",
    "NormalMonth",
    "Notice",
    "Outlook",
    "Reading",
    "Screen",
    "ScreenPairing",
    "SetAside",
    "SiteDay",
    "Sweep",
    "WeatherDay",
]
