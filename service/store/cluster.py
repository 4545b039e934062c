"""Makes the embedded server's data folder, its roles and its database."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import psycopg
from psycopg import sql

from service.store.data_folder import DataFolder
from service.store.errors import EmbeddedServerError
from service.store.passwords import Passwords, make_passwords, read_passwords
from service.store.server_user import ServerUser

SUPERUSER = "postgres"
OWNER = "deck_owner"
SERVICE = "deck_service"
DATABASE = "deck_framing"
CONNECT_PATIENCE_S = 5

# The programs need nothing from our environment, and an operator's PGDATA or PGOPTIONS must not reach them.
ENVIRONMENT = {"LC_ALL": "C", "TZ": "UTC"}
INITDB_OPTIONS = (
    "--auth=scram-sha-256",
    f"--username={SUPERUSER}",
    "--encoding=UTF8",
    "--locale=C",
    "--no-sync",
    "--no-instructions",
)


def ready_cluster(folder: DataFolder, programs: Path) -> Passwords:
    """The passwords of the cluster in a data folder, which is made if it is not there yet.

    Args:
        folder: data folder whose lock is held
        programs: folder of PostgreSQL programs the server's user can run

    Raises:
        EmbeddedServerError: the cluster belongs to another user, or cannot be made
    """
    if not folder.cluster.exists():
        return _make_cluster(folder, programs)
    if folder.cluster.stat().st_uid != folder.user.uid:
        raise EmbeddedServerError(
            f"{folder.cluster} was made by another user than {folder.user.name!r}, who would run it now; "
            "start as the user who made it, or set DECK_FRAMING_DATA_DIR to another folder"
        )
    return read_passwords(folder.password_file)


def _make_cluster(folder: DataFolder, programs: Path) -> Passwords:
    # Made under another name first: a start cut short must not leave half a cluster behind.
    unfinished = folder.path / "cluster-unfinished"
    shutil.rmtree(unfinished, ignore_errors=True)
    passwords = make_passwords(folder.password_file)
    _private_folder(unfinished, folder.user)
    handed_over = unfinished / "password"
    _write_private(handed_over, passwords.superuser, folder.user)
    _run_initdb(unfinished / "cluster", programs, folder.user, handed_over)
    (unfinished / "cluster" / "pg_hba.conf").write_text("local all all scram-sha-256\n")
    (unfinished / "cluster").rename(folder.cluster)
    shutil.rmtree(unfinished)
    return passwords


def _private_folder(folder: Path, user: ServerUser) -> None:
    folder.mkdir(mode=0o700)
    user.own(folder)


def _write_private(file: Path, text: str, user: ServerUser) -> None:
    file.touch(mode=0o600)
    file.write_text(text)
    user.own(file)


def _run_initdb(cluster: Path, programs: Path, user: ServerUser, password_file: Path) -> None:
    arguments = (programs / "initdb", *INITDB_OPTIONS, f"--pwfile={password_file}", f"--pgdata={cluster}")
    done = subprocess.run(  # noqa: S603 - fixed arguments, no shell
        arguments,
        env=ENVIRONMENT,
        cwd=cluster.parent,
        capture_output=True,
        text=True,
        check=False,
        **user.process_arguments(),
    )
    if done.returncode:
        raise EmbeddedServerError(f"initdb failed in {cluster}: {done.stderr.strip()[-500:]}")


def ready_database(socket_folder: Path, passwords: Passwords) -> None:
    """Make the owner and service roles and the database, unless a start before this one has.

    The owner role has no power outside this database; the service role owns nothing and may only connect.
    The database is made last, so that it stands for all of it.
    """
    with _as_superuser(socket_folder, passwords) as superuser:
        if superuser.execute("select 1 from pg_database where datname = %s", (DATABASE,)).fetchone():
            return
        _make_role(superuser, OWNER, passwords.owner)
        _make_role(superuser, SERVICE, passwords.service)
        _make_database(superuser)


def takes_connections(socket_folder: Path, passwords: Passwords) -> bool:
    """Return whether the server lets in its superuser, for whom places are kept however many others are connected."""
    try:
        _as_superuser(socket_folder, passwords).close()
    except psycopg.OperationalError:
        return False
    return True


def _as_superuser(socket_folder: Path, passwords: Passwords) -> psycopg.Connection:
    return psycopg.connect(
        host=str(socket_folder),
        user=SUPERUSER,
        password=passwords.superuser,
        dbname="postgres",
        autocommit=True,
        connect_timeout=CONNECT_PATIENCE_S,
    )


def _make_role(superuser: psycopg.Connection, role: str, password: str) -> None:
    known = superuser.execute("select 1 from pg_roles where rolname = %s", (role,)).fetchone()
    # Sent as a verifier, so that the password itself cannot end up in the server's log.
    verifier = superuser.pgconn.encrypt_password(password.encode(), role.encode(), b"scram-sha-256")
    statement = sql.SQL("{} role {} login password {}").format(
        sql.SQL("alter" if known else "create"), sql.Identifier(role), sql.Literal(verifier.decode())
    )
    superuser.execute(statement)


def _make_database(superuser: psycopg.Connection) -> None:
    name, owner, service = (sql.Identifier(one) for one in (DATABASE, OWNER, SERVICE))
    for statement in (
        sql.SQL("revoke all on database postgres, template1 from public"),
        sql.SQL("create database {} owner {}").format(name, owner),
        sql.SQL("revoke all on database {} from public").format(name),
        sql.SQL("grant connect on database {} to {}").format(name, service),
    ):
        superuser.execute(statement)
