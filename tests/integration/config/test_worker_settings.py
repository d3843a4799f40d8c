"""What the worker and the beat are told; `test_replay_clock.py` has that the web process loads neither."""

from django.conf import settings

from common.jobs import jobs
from config.celery import app
from fleet.management.doctor.broker import QUEUE


def test_schedule__is_the_list_of_jobs_each_at_its_interval() -> None:
    app.loader.import_default_modules()

    scheduled = {name: (entry["task"], entry["schedule"]) for name, entry in app.conf.beat_schedule.items()}

    assert scheduled == {job.name: (job.name, job.every.total_seconds()) for job in jobs()}
    assert all(entry["options"]["expires"] <= entry["schedule"] for entry in app.conf.beat_schedule.values())


def test_tasks__are_the_jobs_and_each_ends_within_its_time() -> None:
    app.loader.import_default_modules()

    limits = {name: task.time_limit for name, task in app.tasks.items() if not name.startswith("celery.")}

    assert limits == {job.name: job.time_limit_s for job in jobs()}


def test_message_of_a_dead_worker__comes_back_only_after_its_task_has_ended() -> None:
    assert app.conf.broker_transport_options["visibility_timeout"] > 2 * max(job.time_limit_s for job in jobs())
    assert (app.conf.task_acks_late, app.conf.task_reject_on_worker_lost) == (True, True)
    assert app.conf.worker_prefetch_multiplier == 1


def test_queue__is_the_one_whose_length_the_doctor_asks_for() -> None:
    assert app.conf.task_default_queue == QUEUE


def test_results__are_kept_nowhere() -> None:
    assert (app.conf["result_backend"], app.conf["task_ignore_result"]) == (None, True)


def test_broker__comes_from_the_environment() -> None:
    assert app.conf.broker_url == settings.REDIS_URL
