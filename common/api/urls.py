"""The addresses behind the `type` of problems; they stand at the root, beside the API's versions."""

from django.urls import path

from common.api.problem_pages import problem_index, problem_page

urlpatterns = [
    path("problems/", problem_index, name="problem-index"),
    path("problems/<slug:code>", problem_page, name="problem-page"),
]
