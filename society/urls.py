"""Addresses of the people's room. The names that begin with account_ are those that allauth looks for."""

from django.urls import URLPattern, path, re_path

from society import account_views, invitation_views, preference_views, views

urlpatterns: list[URLPattern] = [
    path("log-in/", account_views.LogIn.as_view(), name="account_login"),
    path("log-out/", account_views.LogOut.as_view(), name="account_logout"),
    path("password/forgotten/", account_views.PasswordForgotten.as_view(), name="account_reset_password"),
    path(
        "password/forgotten/sent/",
        account_views.PasswordForgottenSent.as_view(),
        name="account_reset_password_done",
    ),
    re_path(
        r"^password/new/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        account_views.PasswordNew.as_view(),
        name="account_reset_password_from_key",
    ),
    path("account/", account_views.account, name="account"),
    path("account/password/", account_views.PasswordChange.as_view(), name="account_change_password"),
    path("account/confirm/", account_views.PasswordAgain.as_view(), name="account_reauthenticate"),
    path("account/addresses/", account_views.Addresses.as_view(), name="account_email"),
    re_path(
        r"^account/addresses/(?P<key>[-:\w]+)/$",
        account_views.AddressConfirm.as_view(),
        name="account_confirm_email",
    ),
    path("invitation/<str:token>/", invitation_views.invitation, name="invitation"),
    path("letters/wanted/", preference_views.letters_wanted, name="letters-wanted"),
    path("healthz", views.healthz, name="healthz"),
]
