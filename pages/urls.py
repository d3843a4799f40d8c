"""The addresses of the pages."""

from django.urls import path

from pages.views.sign_in import password, sign_in, sign_out
from pages.views.today import today

app_name = "pages"
urlpatterns = [
    path("", today, name="today"),
    path("sign-in", sign_in, name="sign-in"),
    path("sign-out", sign_out, name="sign-out"),
    path("password", password, name="password"),
]
