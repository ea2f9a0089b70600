"""What the owner of the sender's domain enters in its DNS, so that mailboxes believe the letters.

SPF is RFC 7208, DKIM RFC 6376, DMARC RFC 7489. Nothing is asked of any name server from here.
"""

from dataclasses import dataclass
from ipaddress import ip_address


@dataclass(frozen=True, slots=True)
class MailRecord:
    """One TXT record: its name, its text, and what is to be known of it."""

    kind: str
    name: str
    text: str
    note: str


def mail_records(*, sender: str, host: str) -> tuple[MailRecord, ...]:
    """The three records for a sender like 'Society <letters@plots.example>' and the mail server's name."""
    address = sender.rpartition("<")[2].rstrip(">").strip()
    domain = address.rpartition("@")[2]
    return (
        MailRecord(
            "SPF",
            domain,
            f"v=spf1 {_sends(host, domain)} ~all",
            "Who may send for the domain. If your mail provider names an ‘include:’, put that in place "
            "of the ‘a:’. A domain has one SPF record only: if there is one already, add to it.",
        ),
        MailRecord(
            "DKIM",
            f"SELECTOR._domainkey.{domain}",
            "v=DKIM1; k=rsa; p=KEY",
            "The key with which the mail server signs. Selector and key come from your mail provider, whose "
            "server signs; ask that List-Unsubscribe and List-Unsubscribe-Post are signed as well.",
        ),
        MailRecord(
            "DMARC",
            f"_dmarc.{domain}",
            f"v=DMARC1; p=none; rua=mailto:{address}",
            "What mailboxes do with letters that fail both, and where they report. After some quiet weeks "
            "‘p=none’ may become ‘p=quarantine’.",
        ),
    )


def _sends(host: str, domain: str) -> str:
    """What names the mail server (RFC 7208, section 5); a guess for one that the world does not see."""
    try:
        address = ip_address(host)
    except ValueError:
        is_seen = "." in host and not host.endswith((".local", ".internal", ".localdomain"))
        return f"a:{host if is_seen else f'mail.{domain}'}"
    return f"ip{address.version}:{address}" if address.is_global else f"a:mail.{domain}"
