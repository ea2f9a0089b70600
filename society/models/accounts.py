"""Log-ins. An account acts for one or more members."""

import uuid
from datetime import datetime
from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.db.models.functions import Lower

from society.models.members import Member


class AccountManager(BaseUserManager["Account"]):
    def create_user(self, email: str, password: str | None = None, **fields: Any) -> "Account":
        if not email:
            raise ValueError("an account needs an e-mail address")
        account = self.model(email=email.strip().lower(), **fields)
        account.set_password(password)
        account.save(using=self._db)
        return account

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> "Account":
        return self.create_user(email, password, is_administrator=True, is_superuser=True, **fields)

    def get_by_natural_key(self, username: str | None) -> "Account":
        return self.get(email__iexact=username)


class Account(AbstractBaseUser, PermissionsMixin):
    """A log-in by e-mail."""

    email = models.EmailField(unique=True)
    is_active = models.BooleanField(default=True)
    is_administrator = models.BooleanField(default=False)
    members = models.ManyToManyField(Member, through="AccountMember", related_name="accounts")
    made_at = models.DateTimeField(auto_now_add=True)

    objects: ClassVar[AccountManager] = AccountManager()

    USERNAME_FIELD = "email"

    class Meta:
        constraints = [models.UniqueConstraint(Lower("email"), name="one_account_an_address")]

    def __str__(self) -> str:
        return self.email

    @property
    def is_staff(self) -> bool:
        return self.is_administrator


class AccountMember(models.Model):
    """For whom an account may act, and since when."""

    account = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="acts_for")
    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="acted_for_by")
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["account", "member"],
                condition=models.Q(until__isnull=True),
                name="an_account_acts_for_a_member_once",
            )
        ]

    def __str__(self) -> str:
        return f"account {self.account_id} for member {self.member_id}"


class Invitation(models.Model):
    """A one-time, expiring offer of an account. Only the token's hash is kept.

    The token itself is worked out of the key and the server's secret whenever the letter is written.
    """

    key = models.UUIDField(default=uuid.uuid4, editable=False)
    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="invitations")
    email = models.EmailField()
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True, help_text="a later invitation took its place")

    def __str__(self) -> str:
        return f"invitation of member {self.member_id}"

    def is_open(self, now: datetime) -> bool:
        return self.accepted_at is None and self.withdrawn_at is None and now < self.expires_at
