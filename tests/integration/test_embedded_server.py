"""The embedded server: who may start it, what it leaves behind, how it comes back after a crash."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from tempfile import gettempdir

import psycopg
import pytest

from service.store.binaries import find_programs, reachable_programs
from service.store.data_folder import refuse_unreachable
from service.store.embedded import FAST, EmbeddedServer, embedded_postgres
from service.store.errors import EmbeddedServerError, FolderInUse
from service.store.left_over import clear_left_over
from service.store.server_user import ServerUser
from tests.waiting import until

REPOSITORY = Path(__file__).parents[2]
DURABLE = {"autovacuum": "off"}
OTHER_USER = ServerUser("nobody", 54321, 54321, switched=True)
HOLDER = """
import sys, time
from pathlib import Path
from tempfile import gettempdir
from service.store.embedded import embedded_postgres
with embedded_postgres(Path(sys.argv[1])) as server:
    print(server.process_id, server.service_url, flush=True)
    time.sleep(60)
"""


def open_to_pass(path: Path) -> Path:
    """Let other users pass through a folder of a test and all those pytest made above it, however many."""
    for one in (path, *path.parents):
        if one == Path(gettempdir()):
            break
        one.chmod(0o711)
    return path


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder that several starts share; the folders pytest makes keep other users out."""
    return open_to_pass(tmp_path_factory.mktemp("data")) / "deck"


@pytest.fixture
def holder(folder: Path):
    """Another process that runs a server in the folder: the process and the server's number and URL."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(folder)], cwd=REPOSITORY, stdout=subprocess.PIPE, text=True
    )
    number, url = process.stdout.readline().split()
    yield process, int(number), url
    process.kill()
    process.wait()
    process.stdout.close()


def is_alive(number: int) -> bool:
    status = Path(f"/proc/{number}/stat")
    try:
        return status.read_text().rpartition(")")[2].split()[0] not in "ZX"
    except (FileNotFoundError, ProcessLookupError):
        return False


def test_a_second_start_is_told_who_holds_the_folder(folder, holder):
    process, number, url = holder
    with pytest.raises(FolderInUse, match=f"{folder} is in use by process {process.pid} "):  # noqa: SIM117
        with embedded_postgres(folder):
            pass
    assert psycopg.connect(url).execute("select 1").fetchone() == (1,), "the first server was disturbed"
    assert is_alive(number)


def test_a_killed_process_takes_its_server_with_it_and_the_next_start_works(folder, holder):
    process, number, _ = holder
    process.send_signal(signal.SIGKILL)
    process.wait()
    assert ends_within(5, number)
    with embedded_postgres(folder) as server, psycopg.connect(server.service_url) as connection:
        assert connection.execute("select current_user").fetchone() == ("deck_service",)


def ends_within(seconds: float, number: int) -> bool:
    deadline = time.monotonic() + seconds
    while is_alive(number) and time.monotonic() < deadline:
        time.sleep(0.02)
    return not is_alive(number)


def test_committed_work_survives_a_killed_server(folder, run_sql):
    with embedded_postgres(folder, settings=DURABLE) as server:
        run_sql(server.owner_url, "create table kept (n int)", "insert into kept values (7)")
        os.kill(server.process_id, signal.SIGKILL)
        with pytest.raises(psycopg.OperationalError):
            wait_until_refused(server)
    with embedded_postgres(folder, settings=DURABLE) as server:
        assert run_sql(server.owner_url, "select n from kept") == [(7,)]


def wait_until_refused(server: EmbeddedServer) -> None:
    deadline = time.monotonic() + 10
    while time.monotonic() < deadline:
        psycopg.connect(server.service_url).close()
        time.sleep(0.02)


def test_a_zombie_with_the_marked_number_is_not_taken_for_a_server(folder):
    zombie = subprocess.Popen(["true"])
    os.waitid(os.P_PID, zombie.pid, os.WEXITED | os.WNOWAIT)
    mark = folder / "cluster" / "postmaster.pid"
    mark.write_text(f"{zombie.pid}\n{folder / 'cluster'}\n")
    with embedded_postgres(folder) as server:
        assert server.process_id != zombie.pid
    zombie.wait()


def test_a_server_left_over_in_the_folder_is_asked_to_stop(tmp_path):
    # tests in the background of a shell are given SIGINT ignored, and pass that on; a server listens to it
    left_over = subprocess.Popen(
        ["sleep", "60"], cwd=tmp_path, preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL)
    )
    (tmp_path / "postmaster.pid").write_text(f"{left_over.pid}\n")
    clear_left_over(tmp_path)
    assert left_over.wait() == -signal.SIGINT
    assert not (tmp_path / "postmaster.pid").exists()


def test_a_stranger_with_the_marked_number_is_left_alone(tmp_path):
    stranger = subprocess.Popen(["sleep", "60"], cwd="/")
    (tmp_path / "postmaster.pid").write_text(f"{stranger.pid}\n")
    clear_left_over(tmp_path)
    assert stranger.poll() is None
    stranger.kill()
    stranger.wait()


def test_connections_need_a_password_and_a_socket_only_the_server_and_we_can_reach(postgres, run_sql):
    assert run_sql(postgres.service_url, "show listen_addresses") == [("",)]
    socket_folder = postgres.data_dir / "socket"
    assert socket_folder.stat().st_mode & 0o777 == 0o700
    assert (postgres.data_dir / "passwords.json").stat().st_mode & 0o777 == 0o600
    for role in ("postgres", "deck_owner", "deck_service"):
        with pytest.raises(psycopg.OperationalError, match="no password supplied"):
            psycopg.connect(host=str(socket_folder), user=role, dbname="deck_framing")


def test_the_server_does_not_run_as_root(postgres):
    assert Path(f"/proc/{postgres.process_id}").stat().st_uid != 0


def test_no_password_reaches_the_log_even_when_it_has_every_statement():
    with embedded_postgres(settings={**FAST, "log_statement": "all"}) as server:
        log = server.log_file.read_text()
        passwords = [url.split(":")[2].split("@")[0] for url in (server.owner_url, server.service_url)]
    assert "create role" in log
    assert not [password for password in passwords if password in log]


def test_a_temporary_folder_goes_with_its_server():
    with embedded_postgres(settings=FAST) as server:
        assert server.data_dir.exists()
    assert not server.data_dir.exists()
    assert not is_alive(server.process_id)


def test_a_start_cut_short_leaves_no_half_cluster(tmp_path):
    open_to_pass(tmp_path)
    rest = tmp_path / "cluster-unfinished" / "cluster"
    rest.mkdir(parents=True)
    (rest / "PG_VERSION").write_text("18\n")
    with embedded_postgres(tmp_path, settings=FAST) as server:
        assert psycopg.connect(server.service_url).execute("select 1").fetchone() == (1,)
    assert not (tmp_path / "cluster-unfinished").exists()


def test_another_thread_may_not_start_it():
    caught: list[EmbeddedServerError] = []

    def start() -> None:
        try:
            with embedded_postgres(settings=FAST):
                pass
        except EmbeddedServerError as fault:
            caught.append(fault)

    thread = threading.Thread(target=start)
    thread.start()
    thread.join()
    assert "main thread" in str(caught[0])


def test_a_data_folder_the_server_user_cannot_enter_is_refused_with_a_way_out(tmp_path):
    private = tmp_path / "home"
    (private / "deck").mkdir(parents=True)
    private.chmod(0o700)
    with pytest.raises(EmbeddedServerError, match=r"'nobody'.*/var/lib/deck-framing"):
        refuse_unreachable(private / "deck" / "not-made-yet", OTHER_USER)
    assert not (private / "deck" / "not-made-yet").exists()


def test_programs_out_of_reach_are_copied_into_the_data_folder_once(tmp_path):
    programs = tmp_path / "home" / "embedded_postgres" / "pginstall" / "bin"
    programs.mkdir(parents=True)
    for name in ("postgres", "initdb"):
        (programs / name).touch(mode=0o755)
    (tmp_path / "home").chmod(0o700)
    data = tmp_path / "data"
    data.mkdir()
    copy = reachable_programs(find_programs(programs), OTHER_USER, data)
    assert copy.is_relative_to(data)
    assert find_programs(copy) == copy
    assert reachable_programs(programs, OTHER_USER, data) == copy
    assert [one.name.partition("-")[0] for one in data.iterdir()] == ["programs"]


def test_other_programs_out_of_reach_are_refused(tmp_path):
    programs = tmp_path / "bin"
    programs.mkdir(mode=0o700)
    with pytest.raises(EmbeddedServerError, match="set PG_BIN to a folder everyone can enter"):
        reachable_programs(programs, OTHER_USER, tmp_path)


def test_a_folder_without_programs_is_named(tmp_path):
    with pytest.raises(EmbeddedServerError, match=f"no postgres or initdb in {tmp_path}"):
        find_programs(tmp_path)


def test_a_server_that_does_not_start_shows_its_log():
    with pytest.raises(EmbeddedServerError, match="max_connections"):  # noqa: SIM117
        with embedded_postgres(settings={"max_connections": "none"}):
            pass


def test_lost_passwords_are_explained(tmp_path):
    open_to_pass(tmp_path)
    with embedded_postgres(tmp_path, settings=FAST) as server:
        (server.data_dir / "passwords.json").unlink()
    with pytest.raises(EmbeddedServerError, match=r"passwords\.json.*put the file back"):  # noqa: SIM117
        with embedded_postgres(tmp_path, settings=FAST):
            pass


def test_a_server_that_takes_no_connection_for_long_is_started_again(folder, run_sql, monkeypatch, caplog):
    monkeypatch.setattr("service.store.keeper.STUCK_S", 1.0)
    monkeypatch.setattr("service.store.cluster.CONNECT_PATIENCE_S", 2)
    monkeypatch.setattr("service.store.server_process.STOP_PATIENCE_S", 0.5)
    with embedded_postgres(folder, settings=FAST, keep=True) as server:
        run_sql(server.owner_url, "create table stuck (number int)", "insert into stuck values (1)")
        os.kill(server.process_id, signal.SIGSTOP)
        until(lambda: "takes no connection" in caplog.text and "runs again" in caplog.text)
        assert run_sql(server.owner_url, "select number from stuck") == [(1,)]
