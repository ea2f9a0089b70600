"""The invented members, their accounts and their wishes."""

from datetime import date, datetime, timedelta

from allauth.account.models import EmailAddress

from plots.models import Site, WaitingEntry
from schedules.demo.layout import Layout
from society.models import (
    Absence,
    Account,
    AccountMember,
    CommitteeSeat,
    LetterPreference,
    Member,
    Society,
)

AWAY_SINCE, AWAY_UNTIL = timedelta(days=3), timedelta(days=10)
DAYS_A_MONTH = 30


def people_load(layout: Layout, society: Society, *, today: date, now: datetime) -> dict[str, Member]:
    """Write the members with everything that hangs on them; by the keys that the files use."""
    members = {
        row.text("key"): Member(
            society=society,
            name=row.text("name"),
            email=row.maybe("email"),
            units=row.text("units"),
            joined_on=years_before(today, row.whole("joined_years_ago")),
        )
        for row in layout.members
    }
    for row in layout.members:
        if row.maybe("waits_months"):
            members[row.text("key")].joined_on = _waits_since(row.whole("waits_months"), today)
    Member.objects.bulk_create(members.values())
    CommitteeSeat.objects.bulk_create(
        CommitteeSeat(
            member=members[row.text("key")], office=row.text("office"), since=years_before(today, 2)
        )
        for row in layout.members
        if row.maybe("office")
    )
    _accounts(layout, members)
    _absences(layout, members, today=today, now=now)
    return members


def waiting_load(layout: Layout, site: Site, members: dict[str, Member], *, today: date) -> None:
    WaitingEntry.objects.bulk_create(
        WaitingEntry(
            site=site,
            member=members[row.text("key")],
            asked_on=_waits_since(row.whole("waits_months"), today),
        )
        for row in layout.members
        if row.maybe("waits_months")
    )


def _waits_since(months: int, today: date) -> date:
    return today - timedelta(days=months * DAYS_A_MONTH)


def _accounts(layout: Layout, members: dict[str, Member]) -> None:
    """Log-ins with a password from their own file; everybody else with an address may ask for a new one."""
    people = {}
    for row in layout.accounts:
        account = Account(email=row.text("email"), is_administrator=row.maybe("administrator") == "yes")
        account.is_superuser = account.is_administrator
        account.set_password(row.text("password"))
        people[account.email] = (account, [members[key] for key in row.several("acts_for")])
    for member in members.values():
        if member.email and member.email not in people:
            account = Account(email=member.email)
            account.set_unusable_password()
            people[account.email] = (account, [member])
    Account.objects.bulk_create(account for account, _ in people.values())
    EmailAddress.objects.bulk_create(
        EmailAddress(user=account, email=account.email, verified=True, primary=True)
        for account, _ in people.values()
    )
    AccountMember.objects.bulk_create(
        AccountMember(account=account, member=member, since=member.joined_on)
        for account, acts_for in people.values()
        for member in acts_for
    )


def _absences(layout: Layout, members: dict[str, Member], *, today: date, now: datetime) -> None:
    """Those who are away just now, with somebody who agreed to read their letters."""
    Absence.objects.bulk_create(
        Absence(
            member=members[row.text("key")],
            stand_in=members[row.text("away_with")],
            since=today - AWAY_SINCE,
            until=today + AWAY_UNTIL,
            accepted_at=now - AWAY_SINCE,
        )
        for row in layout.members
        if row.maybe("away_with")
    )


def letters_today(*, today: date) -> None:
    """Let everybody's weekly letter be due today at once, unless one came in the last six days."""
    for member in Member.objects.exclude(email="").prefetch_related("deliveries"):
        if any(0 <= (today - letter.local_date).days < 7 for letter in member.deliveries.all()):
            continue
        # Hour 0: due whatever the hour at which the demo is started.
        LetterPreference.objects.update_or_create(
            member=member, defaults={"weekday": today.weekday(), "hour": 0}
        )


def years_before(day: date, years: int) -> date:
    """The same day so many years ago; 29 February becomes the 28th."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)
