"""Classes built on a Dask cluster: a real scheduler and workers on the loopback address."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest

from overlay.errors import MachineError, UsageError
from overlay.pipeline import build
from overlay.series import cluster as cluster_module
from overlay.series.classes import build_classes
from overlay.series.cluster import Cluster

pytest.importorskip("distributed", reason="the library distributed is not installed (extra: cluster)")
pytestmark = pytest.mark.filterwarnings("ignore")
ONLY = ["captions", "timer", "titles", "handoff"]
OTHER_TYPST = """
import importlib.metadata
found = importlib.metadata.version
importlib.metadata.version = lambda name: "0.0.1" if name == "typst" else found(name)
"""


class Processes:
    """A scheduler, and workers that are started and killed."""

    def __init__(self, folder: Path, *, protocol: str = "tcp", certified: Sequence[str] = ()) -> None:
        """`certified` are the options by which both show certificates."""
        self.folder, self.certified = folder, certified
        self.running: list[subprocess.Popen[bytes]] = []
        found = folder / "scheduler.json"
        here = ("--protocol", protocol, "--host", "127.0.0.1", "--port", "0", "--no-dashboard")
        self._start("scheduler", *here, "--scheduler-file", str(found))
        self._wait(lambda: found.exists() and found.stat().st_size > 0)
        import json

        self.address = json.loads(found.read_text("utf-8"))["address"]

    def _start(self, what: str, *options: str, **environment: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", f"distributed.cli.dask_{what}", *options, *self.certified]
        with (self.folder / f"{what}.log").open("ab") as log:
            process = subprocess.Popen(command, stdout=log, stderr=log, env={**os.environ, **environment})
        self.running.append(process)
        return process

    def worker(self, name: str, *, threads: int = 1, **environment: str) -> subprocess.Popen[bytes]:
        """Start a worker, and wait until the scheduler knows it."""
        from distributed import Client

        with Client(self.address, set_as_default=False) as client:
            count = len(client.nthreads())
            own = ("--name", name, "--nthreads", str(threads), "--local-directory", str(self.folder / name))
            process = self._start("worker", self.address, *own, "--no-dashboard", "--no-nanny", **environment)
            self._wait(lambda: len(client.nthreads()) > count)
        return process

    def gone(self, process: subprocess.Popen[bytes]) -> None:
        """End a worker, and wait until the scheduler knows."""
        from distributed import Client

        with Client(self.address, set_as_default=False) as client:
            count = len(client.nthreads())
            process.kill()
            process.wait()
            self._wait(lambda: len(client.nthreads()) < count)

    def _wait(self, done: Callable[[], bool]) -> None:
        until = time.monotonic() + 60
        while not done():
            assert time.monotonic() < until, "the cluster does not start"
            time.sleep(0.05)

    def close(self) -> None:
        for process in reversed(self.running):
            process.kill()
            process.wait()


@pytest.fixture(scope="module")
def processes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Processes]:
    """A scheduler with two workers, each one process."""
    running = Processes(tmp_path_factory.mktemp("cluster"))
    try:
        for name in ("one", "two"):
            running.worker(name)
        yield running
    finally:
        running.close()


def test_a_worker_is_killed_in_the_middle(
    processes: Processes,
    series: Callable[..., list[Path]],
    files: Callable[[Path], dict[str, bytes]],
    tmp_path: Path,
) -> None:
    """From the command line, into folders that all see: every class is there, to the byte as built here alone."""
    plans = series(6)
    third = processes.worker("three")
    command = [sys.executable, "-m", "overlay", "build", "series", "--cluster", processes.address, "--no-cache"]
    command += ["--only", ",".join(ONLY)]
    with subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as building:
        assert building.stderr is not None
        first = building.stderr.readline()
        third.send_signal(signal.SIGKILL if sys.platform != "win32" else signal.SIGTERM)
        printed, said = building.communicate(timeout=180)
    assert (building.returncode, first[:4]) == (0, "1/6 "), first + said
    assert "6/6 " in said
    assert "6 of 6 classes" in printed
    third.wait()
    for plan in plans:
        alone = build(plan, out=tmp_path / "alone" / plan.stem, only=ONLY)
        assert files(plan.with_name(f"{plan.stem}-assets")) == files(alone.folder), plan.name
    assert list(plans[0].parent.glob(".class-overlay*")) == []


def test_streamed_back_where_no_folder_is_shared(
    processes: Processes,
    series: Callable[..., list[Path]],
    files: Callable[[Path], dict[str, bytes]],
    tmp_path: Path,
) -> None:
    """The same bytes; shared files go with the plan; a mistake has its place here; a file in the way stops its class
    alone; what an earlier plan made and this one does not goes."""
    plans = series(4)
    root = plans[0].parent
    plans[2].write_text(plans[2].read_text("utf-8").replace("rest: 10s", "rst: 10s"), "utf-8")
    out = tmp_path / "out"
    (out / "class-4-assets" / "captions").mkdir(parents=True)
    (out / "class-4-assets" / "captions" / "en.srt").write_bytes(b"mine")
    text = plans[0].read_text("utf-8")
    plans[0].write_text("language: [en, es]\n" + text, "utf-8")
    build(plans[0], out=out / "class-1-assets", only=["captions"])
    plans[0].write_text(text, "utf-8")
    rows = build_classes(plans, out=out, cluster=Cluster(processes.address, is_shared=False), only=ONLY)
    assert [row.error.exit_status if row.error else 0 for row in rows] == [0, 0, 2, 2]
    assert rows[2].error is not None
    assert str(rows[2].error).startswith(f"{plans[2]}:6:")
    assert "not as the tool wrote them: captions/en.srt" in str(rows[3].error)
    assert files(out / "class-4-assets") == {"captions/en.srt": b"mine"}
    for plan in plans[:2]:
        alone = build(plan, out=tmp_path / "alone" / plan.stem, only=ONLY)
        assert files(out / f"{plan.stem}-assets") == files(alone.folder)
    assert sorted(path.name for path in root.iterdir() if path.is_dir()) == []


def test_the_pictures_of_a_large_class_are_split_further(
    processes: Processes,
    series: Callable[..., list[Path]],
    files: Callable[[Path], dict[str, bytes]],
    tmp_path: Path,
) -> None:
    """One class for two workers: its timer is coded in shares, wherever they fall, to the same bytes."""
    from distributed import Client

    (plan,) = series(1, size="1920x1080", gauge="smooth", blocks=1)
    (row,) = build_classes([plan], out=tmp_path / "out", alone=True, cluster=Cluster(processes.address), only=["timer"])
    assert row.made is not None, row.error
    assert row.made.folder == tmp_path / "out"
    with Client(processes.address, set_as_default=False) as client:
        counts = client.run_on_scheduler(
            lambda dask_scheduler: {
                name: sum(p.state_counts.values()) for name, p in dask_scheduler.task_prefixes.items()
            }
        )
    assert counts["code_share"] > 2
    assert files(tmp_path / "out") == files(build(plan, out=tmp_path / "alone", only=["timer"]).folder)


def test_a_worker_with_another_version_is_refused_by_name(
    processes: Processes, series: Callable[..., list[Path]], tmp_path: Path
) -> None:
    """Its address and what differs, before anything is made; so is one that would do several classes at once."""
    plans = series(2)
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "sitecustomize.py").write_text(OTHER_TYPST, "utf-8")
    other = processes.worker("other", PYTHONPATH=str(tmp_path / "other"))
    with pytest.raises(MachineError, match=r"\n  tcp://127\.0\.0\.1:\d+: typst 0\.0\.1, not ") as caught:
        build_classes(plans, cluster=Cluster(processes.address), only=["captions"])
    processes.gone(other)
    assert caught.value.message.count("tcp://") == 1
    assert list(plans[0].parent.glob("*-assets")) == []
    many = processes.worker("many", threads=2)
    with pytest.raises(MachineError, match="2 threads: start it with --nthreads 1"):
        build_classes(plans, cluster=Cluster(processes.address), only=["captions"])
    processes.gone(many)


OPENSSL = (
    "openssl",
    "req",
    "-newkey",
    "ec",
    "-pkeyopt",
    "ec_paramgen_curve:prime256v1",
    "-nodes",
    "-x509",
    "-days",
    "2",
)


@pytest.mark.skipif(shutil.which("openssl") is None, reason="needs the openssl program")
def test_with_tls(tmp_path: Path, series: Callable[..., list[Path]]) -> None:
    """As DEVELOPERS.md has it: who shows a certificate is let in; who has none, or comes in the open, is turned away
    with one clear sentence."""
    import dask

    own = tmp_path / "own"
    own.mkdir()
    (plan,) = series(1)
    subprocess.run([*OPENSSL, "-subj", "/CN=Ours", "-keyout", "key.pem", "-out", "ca.pem"], cwd=own, check=True)
    certificate, key = str(own / "ca.pem"), str(own / "key.pem")
    shown = ("--tls-ca-file", certificate, "--tls-cert", certificate, "--tls-key", key)
    settings = {"tls.ca-file": certificate, "tls.client.cert": certificate, "tls.client.key": key}
    settings = {f"distributed.comm.{name}": value for name, value in settings.items()}
    running = Processes(tmp_path, protocol="tls", certified=shown)
    try:
        assert running.address.startswith("tls://")
        with dask.config.set({**settings, "distributed.comm.require-encryption": True}):
            running.worker("one")
            (row,) = build_classes([plan], out=tmp_path / "out", cluster=Cluster(running.address), only=["captions"])
            assert row.error is None
            assert (tmp_path / "out" / f"{plan.stem}-assets" / "captions" / "en.srt").exists()
            with pytest.raises(MachineError, match="encryption required"):
                build_classes([plan], cluster=Cluster(running.address.replace("tls:", "tcp:")), only=["captions"])
        with pytest.raises(MachineError, match="No scheduler answers") as caught:
            build_classes([plan], cluster=Cluster(running.address), only=["captions"])
        assert "certificates" in str(caught.value.remedy)
    finally:
        running.close()


def test_no_scheduler(series: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch) -> None:
    """Said with the address."""
    monkeypatch.setattr(cluster_module, "PATIENCE_SECONDS", 0.5)
    with pytest.raises(MachineError, match="No scheduler answers at"):
        build_classes(series(1), cluster=Cluster("tcp://127.0.0.1:9"), only=["captions"])


def test_without_the_library(series: Callable[..., list[Path]], monkeypatch: pytest.MonkeyPatch) -> None:
    """Said how to get it."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(UsageError, match="distributed is needed") as caught:
        build_classes(series(1), cluster=Cluster("tcp://127.0.0.1:9"), only=["captions"])
    assert "class-overlay[cluster]" in str(caught.value.remedy)
