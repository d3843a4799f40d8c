"""App configuration of the pages."""

from django.apps import AppConfig


class PagesConfig(AppConfig):
    """The app as Django sees it. It has no tables."""

    name = "pages"
    verbose_name = "Pages"
