"""The invented members, their accounts and their wishes."""

from datetime import date

from schedules.demo.layout import Layout
from society.models import Account, AccountMember, CommitteeSeat, LetterPreference, Member, Society


def people_load(layout: Layout, society: Society, *, today: date) -> dict[str, Member]:
    """Write the members with everything that hangs on them; by the keys that the files use."""
    members = {}
    for row in layout.members:
        joined_on = years_before(today, row.whole("joined_years_ago"))
        member = Member.objects.create(
            society=society,
            name=row.text("name"),
            email=row.maybe("email"),
            units=row.text("units"),
            joined_on=joined_on,
        )
        if row.maybe("office"):
            CommitteeSeat.objects.create(member=member, office=row.maybe("office"), since=joined_on)
        members[row.text("key")] = member
    _accounts(layout, members)
    return members


def _accounts(layout: Layout, members: dict[str, Member]) -> None:
    for row in layout.accounts:
        account = Account.objects.create_user(row.text("email"), row.text("password"))
        for key in row.several("acts_for"):
            AccountMember.objects.create(account=account, member=members[key], since=members[key].joined_on)


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
