"""What `sign` does, given its options. Returns the exit code."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from getpass import getpass
from pathlib import Path
from sys import stdin
from typing import TYPE_CHECKING

from riskdoc.cli import commands
from riskdoc.cli.commands import ADEQUATE, FAULT, OUTSIDE, STOPPED

if TYPE_CHECKING:
    from riskdoc.requirements.dossier import Brief
    from riskdoc.signing.certificates import Certificate
    from riskdoc.signing.entries import Act, Entry
    from riskdoc.signing.signing import Deed


@dataclass(frozen=True, slots=True)
class Asked:
    """What `sign` is asked to do, as typed."""

    role: str
    name: str | None
    meaning: str | None
    withdraw: bool
    superseded_by: Path | None
    reason: str | None
    certificate: Path | None
    passphrase: Path | None

    @property
    def act(self) -> Act:
        """Which act is meant."""
        if self.withdraw:
            return "withdraw"
        return "supersede" if self.superseded_by else "sign"

    @property
    def trouble(self) -> str:
        """What is missing or cannot be asked for together; empty where all is there."""
        if self.withdraw and self.superseded_by:
            return "--withdraw and --superseded-by are two acts: choose one."
        if self.act != "sign" and not self.reason:
            return "say why: --reason 'what happened'."
        if self.act == "sign" and self.reason:
            return "--reason goes with --withdraw and --superseded-by; a sign-off has --meaning."
        if not self.name and not self.certificate:
            return "say who signs: --name 'A. Name', or --certificate."
        return ""


def sign(path: Path, asked: Asked, now: datetime) -> int:
    """Adds an entry to the sign-offs of a job; 1 where a check is not met, 2 where it may not be.

    The assessment is computed anew, as of the day of `now`, and what comes out is what is signed.
    """
    from riskdoc.requirements.dossier import brief_dossier
    from riskdoc.signing.certificates import CertificateError
    from riskdoc.signing.entries import RecordError
    from riskdoc.signing.record_files import record_path
    from riskdoc.signing.signing import RefusedError, act

    if asked.trouble:
        return _refuse(asked.trouble)
    file = commands.read_job(path, now.date())
    whole = commands.computed(path, lambda: brief_dossier(file)) if file is not None else None
    if whole is None:
        return FAULT
    try:
        entry = act(path, whole, _deed(asked, whole), now)
    except (RefusedError, RecordError, CertificateError) as error:
        said = str(error).rstrip(".")
        commands.complain(f"{said}. Nothing was signed and nothing was written.")
        return STOPPED if isinstance(error, RefusedError) and error.stops else FAULT
    except OSError as error:
        commands.complain(f"the sign-off could not be written: {error.strerror or error}")
        return OUTSIDE
    _told(entry, record_path(path))
    _alone(path, whole, entry)
    return ADEQUATE


def _refuse(why: str) -> int:
    commands.complain(why)
    return FAULT


def _deed(asked: Asked, whole: Brief) -> Deed:
    """The deed as its entry will have it."""
    from riskdoc.i18n.say import speaking
    from riskdoc.job.alike import plain_name
    from riskdoc.signing.signing import Deed, RefusedError, meaning_of

    roles = whole.plan.file.job.signoff.roles
    if asked.role not in roles:
        raise RefusedError(
            f"no sign-off by {asked.role!r} is asked for; the roles are, in order: "
            f"{', '.join(roles)}."
        )
    holder = None
    if asked.certificate is not None:
        holder = certificate_in(asked.certificate, asked.passphrase)
        if holder is None:
            raise RefusedError("Without the certificate nobody can sign with it.")
    with speaking(whole.plan.file.voice):
        meaning = asked.reason or meaning_of(asked.role, asked.meaning)
    return Deed(
        act=asked.act,
        role=_plain(asked.role, "--role"),
        name=_plain(_name(asked, holder), "--name", plain_name),
        meaning=_plain(meaning, "--meaning or --reason"),
        successor=_successor(asked, whole),
        certify=_certify(holder),
    )


def _plain(text: str, option: str, looked_at: Callable[[str], str] = str) -> str:
    """A text as a job file may hold one: no control characters, nothing that reorders a line."""
    from riskdoc.job.faults import Refused
    from riskdoc.job.fields import plain_text
    from riskdoc.signing.signing import RefusedError

    try:
        return looked_at(plain_text(text))
    except Refused as refused:
        raise RefusedError(f"{option}: {refused.message}. {refused.tip}") from refused


def _name(asked: Asked, holder: Certificate | None) -> str:
    from riskdoc.job.faults import shown
    from riskdoc.signing.certificates import bindable, same_name
    from riskdoc.signing.signing import RefusedError

    if holder is None:
        return asked.name or ""
    unfit = bindable(holder.name)
    if unfit:
        raise RefusedError(
            f"the name in the certificate, {shown(holder.name)}, cannot stand in a record: {unfit}."
        )
    if asked.name and not same_name(asked.name, holder.name):
        raise RefusedError(
            f"the certificate is of {holder.subject!r} and not of {asked.name!r}: sign with your "
            "own."
        )
    return asked.name or holder.name


def _certify(holder: Certificate | None) -> Callable[[bytes, datetime], str] | None:
    if holder is None:
        return None
    from riskdoc.signing.cms_form import signed

    return lambda statement, when: signed(holder, statement, when)


def _successor(asked: Asked, whole: Brief) -> str:
    """Number and revision of what comes after, read from its job file."""
    from riskdoc.job.alike import alike
    from riskdoc.signing.signing import RefusedError

    if asked.superseded_by is None:
        return ""
    file = commands.read_job(asked.superseded_by, whole.plan.file.on)
    if file is None:
        raise RefusedError(f"--superseded-by: {asked.superseded_by} could not be read.")
    job, old = file.job.job, whole.plan.file.job.job
    if alike(job.number, old.number) and alike(job.revision, old.revision):
        raise RefusedError(
            f"--superseded-by: {asked.superseded_by} has the same number and revision."
        )
    return f"{job.number}, {job.revision}"


def certificate_in(path: Path, passphrase: Path | None) -> Certificate | None:
    """The certificate in a file; None after it was said why there is none."""
    from riskdoc.signing.certificates import CertificateError, load

    try:
        return load(path, _passphrase(passphrase))
    except CertificateError as error:
        commands.complain(f"{path}: {error}")
    except OSError as error:
        commands.complain(f"{passphrase}: cannot be read: {error.strerror}")
    return None


def _passphrase(path: Path | None) -> str | None:
    """The passphrase: from its file, asked for at a terminal, or none."""
    from riskdoc.signing.certificates import CertificateError

    if path is not None:
        try:
            return path.read_text("utf-8").split("\n", 1)[0].rstrip("\r")
        except UnicodeDecodeError as error:
            raise CertificateError(f"the passphrase in {path.name} is not UTF-8") from error
    if not stdin.isatty():
        return None
    try:
        return getpass("Passphrase of the certificate: ")
    except EOFError as error:
        raise CertificateError("no passphrase was given") from error


def _alone(path: Path, whole: Brief, entry: Entry) -> None:
    """Says of a sign-off whether the same person signed before, and in every role."""
    from riskdoc.i18n.say import speaking
    from riskdoc.signing.entry_rules import roles_of, terms_of
    from riskdoc.signing.record_files import record_of
    from riskdoc.signing.sign_off_state import counted_of, stand

    if entry.act != "sign":
        return
    record = record_of(path)
    with speaking(whole.plan.file.voice):
        standing = stand(whole, record)
        before = [each for each in counted_of(record, terms_of(whole)) if each.hash != entry.hash]
        taken = roles_of(entry.name, before)
    if standing.one_person:
        commands.tell(standing.one_person)
    elif taken:
        commands.tell(f"{entry.name} has signed as {', '.join(taken)} too.")


def _told(entry: Entry, record: Path) -> None:
    did = {"sign": "signed", "withdraw": "withdrew", "supersede": "superseded"}[entry.act]
    commands.tell(
        f"{entry.name} {did} {entry.number}, revision {entry.revision}, as {entry.role}, "
        f"{entry.time}."
    )
    commands.tell(f"It means: {entry.meaning}")
    commands.tell(f"What was signed has the digest sha256 {entry.digest}")
    if not entry.certificate:
        commands.tell("This is a recorded name, not a verified signature.")
    commands.tell(f"written to {record}")
