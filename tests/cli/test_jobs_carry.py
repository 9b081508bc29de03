"""``nextprobe jobs export``, ``import`` and ``erase-names``: the way of a job from one machine to another.

That a replay gives the same belief to 1e-12 and that nothing altered is taken are the house's own promises; the open
repair data is checked in tests/interchange/test_ords.py.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.interchange.job_lines import job_lines
from nextprobe.job import replayed, resume_job
from nextprobe.record.store import open_store
from tests.interchange.jobs_made import a_store, gone_over, lamp_job, left

Use = Callable[[str], None]


@pytest.fixture
def use(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Use:
    """Go to the machine whose store has this name."""
    return lambda name: monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / name}")


@pytest.fixture
def jobs(tmp_path: Path, use: Use) -> list[str]:
    use("there.db")
    with a_store(tmp_path, "there.db") as store:
        return [lamp_job(store).id, gone_over(store).id, left(store).id]


def test_a_job_comes_over_with_the_same_belief_and_goes_on_there(
    tmp_path: Path, jobs: list[str], use: Use, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "jobs.jsonl"
    assert main(["jobs", "export", *jobs, "-o", str(target)]) == 0
    assert "3 jobs" in capsys.readouterr().err
    use("here.db")
    assert main(["jobs", "import", str(target)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert [line.split(":")[0] for line in said] == jobs
    assert all("taken" in line for line in said)
    assert main(["jobs", "verify"]) == 0
    there, here = (open_store(f"sqlite:///{tmp_path / name}") for name in ("there.db", "here.db"))
    for job in jobs:
        assert here.job(job) == there.job(job)
        assert here.events(job) == there.events(job)
        assert here.people(job) == there.people(job)
        one, other = replayed(there, there.job(job)).belief(), replayed(here, here.job(job)).belief()
        assert one.keys() == other.keys()
        assert max(abs(one[cause] - other[cause]) for cause in one) <= 1e-12
    went_on = resume_job(here, jobs[0])
    went_on.walk.tell(went_on.walk.ask().id, went_on.walk.ask().choices[0].id)
    assert here.verify(jobs[0]) == []


def test_the_same_job_twice_is_said_and_a_grown_one_refused(
    tmp_path: Path, jobs: list[str], use: Use, capsys: pytest.CaptureFixture[str]
) -> None:
    target, later = tmp_path / "jobs.jsonl", tmp_path / "later.jsonl"
    main(["jobs", "export", "--all", "-o", str(target)])
    with a_store(tmp_path, "there.db") as store:
        store.events(jobs[0])
        store.append(jobs[0], "noted", {"text": "grown"})
    main(["jobs", "export", jobs[0], "-o", str(later)])
    use("here.db")
    main(["jobs", "import", str(target)])
    capsys.readouterr()
    assert main(["jobs", "import", str(target)]) == 0
    assert capsys.readouterr().out.count("is here already, the same") == 3
    assert main(["jobs", "import", str(later)]) == 2
    assert "went on elsewhere" in capsys.readouterr().err
    use("there.db")
    assert main(["jobs", "import", str(target)]) == 2
    assert "it went on here since" in capsys.readouterr().err


def test_an_altered_file_is_refused_whole_and_the_event_named(
    tmp_path: Path, jobs: list[str], use: Use, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "jobs.jsonl"
    main(["jobs", "export", "--all", "-o", str(target)])
    rows = target.read_text(encoding="utf-8").splitlines()
    place = next(n for n, row in enumerate(rows) if f'"job":"{jobs[0]}"' in row and '"seq":4' in row)
    rows[place] = rows[place].replace('"kind":"', '"kind":"not_', 1)
    target.write_text("\n".join(rows), encoding="utf-8")
    capsys.readouterr()
    use("here.db")
    assert main(["jobs", "import", str(target)]) == 1
    out, err = capsys.readouterr()
    assert f"{jobs[0]}: Event 4 was altered" in out
    assert "Nothing was taken" in err
    assert main(["jobs", "list", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == []


def test_names_stay_at_home_on_request(
    tmp_path: Path, jobs: list[str], use: Use, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "jobs.jsonl"
    assert main(["jobs", "export", *jobs, "--without-names", "-o", str(target)]) == 0
    text = target.read_text(encoding="utf-8")
    assert "Mira" not in text
    assert "Esker" not in text
    use("here.db")
    assert main(["jobs", "import", str(target)]) == 0
    assert main(["jobs", "verify"]) == 0
    with open_store() as here:
        assert here.people(jobs[0]) == {}


def test_names_are_erased_on_request(jobs: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", "erase-names", jobs[0], jobs[2]]) == 0
    out = capsys.readouterr().out
    assert f"{jobs[0]}: erased: technician." in out
    assert f"{jobs[2]}: no names were kept." in out
    assert main(["jobs", "verify"]) == 0
    assert main(["jobs", "show", jobs[0]]) == 0
    assert "Mira" not in capsys.readouterr().out
    assert main(["jobs", "show", jobs[1]]) == 0
    assert "Bo Esker" in capsys.readouterr().out


def test_an_owner_is_named_and_the_report_says_so(jobs: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", "set-names", jobs[0], "--owner", "Ada Brook"]) == 0
    assert main(["report", jobs[0]]) == 0
    out = capsys.readouterr().out
    assert "Owner:       Ada Brook" in out
    assert "Technician:  Mira Tolland" in out
    assert main(["jobs", "set-names", jobs[0]]) == 2
    assert main(["jobs", "set-names", jobs[0], "--owner", "  "]) == 2
    assert main(["jobs", "verify"]) == 0


def test_without_a_file_the_lines_go_to_the_terminal(
    tmp_path: Path, jobs: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["jobs", "export", jobs[0][-4:]]) == 0
    out = capsys.readouterr().out
    with open_store() as store:
        assert out.splitlines() == list(job_lines(store, [store.job(jobs[0])]))


def test_finished_jobs_as_open_repair_data(tmp_path: Path, jobs: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "finished.csv"
    assert main(["jobs", "export", "--to", "ords", str(target), "--country", "DEU"]) == 0
    err = capsys.readouterr().err
    assert "finished: 1 job" in err
    assert "--country" not in err
    with target.open(encoding="utf-8", newline="") as stream:
        (row,) = csv.DictReader(stream)
    assert (row["repair_status"], row["country"]) == ("Unknown", "DEU")
    assert main(["jobs", "export", "--to", "ords", str(target)]) == 0
    assert "Without --country" in capsys.readouterr().err


@pytest.mark.usefixtures("jobs")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["export"], "Which jobs?"),
        (["export", "zzzz"], "There is no job 'zzzz'"),
        (["export", "--all", "-o", "{}/nowhere/x.jsonl"], "cannot be written"),
        (["export", "--all", "--country", "DEU"], "belongs to --to ords"),
        (["export", "--to", "xml", "a.xml"], "There is no format 'xml'"),
        (["export", "--to", "ords", "a.csv", "--all"], "Leave the rest out"),
        (["export", "--to", "ords", "{}/a.csv", "--category", "Laptops"], "Did you mean Laptop?"),
        (["import", "{}/nothing.jsonl"], "cannot be read"),
        (["import", "{}"], "cannot be read"),
        (["import"], "file"),
        (["erase-names"], "job"),
        (["erase-names", "zzzz"], "There is no job 'zzzz'"),
    ],
)
def test_what_cannot_be_done_is_said(
    tmp_path: Path, words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["jobs", *(word.format(tmp_path) for word in words)]) == 2
    out, err = capsys.readouterr()
    assert said.lower() in (out + err).lower()
    assert "Traceback" not in err


def test_an_open_job_is_no_open_repair_data(
    tmp_path: Path, jobs: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["jobs", "export", jobs[0], "--to", "ords", str(tmp_path / "x.csv")]) == 2
    assert "has not ended" in capsys.readouterr().err


def test_a_file_is_made_whole_or_not_at_all(tmp_path: Path, jobs: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "jobs.jsonl"
    target.write_text("as it was", encoding="utf-8")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    assert main(["jobs", "export", *jobs, "-o", str(target)]) == 2
    assert target.read_text(encoding="utf-8") == "as it was"
    assert list(tmp_path.glob("*.part")) == []
