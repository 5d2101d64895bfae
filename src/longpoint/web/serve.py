"""Serves the pages from this machine to this machine, or to a workshop whose people sign in."""

from __future__ import annotations

import errno
import ipaddress
import re
import socket
import ssl
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from longpoint.errors import Fault, FaultsError, Where
from longpoint.store import Place
from longpoint.web.app import Settings, make_app

LOOPBACK = "127.0.0.1"

MOST_AT_ONCE = 1000
"""Connections at once, a browser holds up to six; others are told to come again. Estimate."""

_NAME = re.compile(r"^[A-Za-z0-9]([A-Za-z0-9.-]{0,250}[A-Za-z0-9])?$")


@dataclass(frozen=True, slots=True)
class Sharing:
    """To whom the pages are served.

    Attributes:
        at: Address of this machine.
        names: Other names that it is asked under.
        shared: Whether people sign in.
        certificate: File of the certificate, and of its key; None where the line is not encrypted.
    """

    at: str = LOOPBACK
    names: tuple[str, ...] = ("localhost", "[::1]")
    shared: bool = False
    certificate: tuple[Path, Path] | None = None

    @property
    def secure(self) -> bool:
        """Whether the line is encrypted."""
        return self.certificate is not None

    def addresses(self, port: int) -> list[str]:
        """What is typed into a browser, for each name."""
        scheme = "https" if self.secure else "http"
        named = [_in_address(self.at)] if not self._everywhere else []
        named += self.names if self.shared else ()
        return [f"{scheme}://{name}:{port}/" for name in named]

    def hosts(self, port: int) -> frozenset[str]:
        """Names and ports under which this server answers, as browsers write them."""
        names = (*self.names, *(() if self._everywhere else (_in_address(self.at),)))
        bare = names if port == (443 if self.secure else 80) else ()
        return frozenset({*(f"{name.lower()}:{port}" for name in names), *(name.lower() for name in bare)})

    @property
    def _everywhere(self) -> bool:
        return ipaddress.ip_address(self.at).is_unspecified


def sharing_of(
    *,
    shared: bool,
    at: str,
    hosts: tuple[str, ...],
    certificate: Path | None,
    key: Path | None,
    unencrypted: bool,
    port: int,
) -> Sharing:
    """To whom the pages shall be served, checked.

    Args:
        shared: Whether people sign in.
        at: Address to listen at; "" for loopback, or for the machine's own in its network where it is shared.
        hosts: Names that it is asked under besides.
        certificate: File of the certificate.
        key: File of its key.
        unencrypted: Whether it is shared without encryption on purpose.
        port: Port to listen at.

    Raises:
        FaultsError: With everything that stands against it.
    """
    faults: list[Fault] = []
    address = _address(at, shared=shared, faults=faults)
    names = tuple(name for name in hosts if _NAME.match(name))
    faults += [
        Fault(
            "no-name",
            f"{name!r} is no name of a machine.",
            "Write it as workshop.local, without port.",
            Where("--host"),
        )
        for name in hosts
        if not _NAME.match(name)
    ]
    if not shared and (hosts or certificate or key or unencrypted):
        faults.append(
            Fault(
                "not-shared",
                "names, certificates and unencrypted lines belong to pages that are shared.",
                "Say --shared, or leave them away.",
            )
        )
    if shared and address is not None and ipaddress.ip_address(address).is_unspecified and not names:
        faults.append(
            Fault(
                "no-name",
                f"{address} is every address of this machine, and a browser asks for one.",
                "Say which names or addresses it is asked under with --host, once for each.",
                Where("--host"),
            )
        )
    files = _certificate(certificate, key, unencrypted=unencrypted, shared=shared, faults=faults)
    if address is not None and (fault := _cannot_listen(address, port)) is not None:
        faults.append(fault)
    if faults or address is None:
        raise FaultsError(faults)
    return Sharing(address, names, shared=True, certificate=files) if shared else Sharing(address)


def _address(at: str, *, shared: bool, faults: list[Fault]) -> str | None:
    if not at:
        own = _own_address() if shared else LOOPBACK
        if own is None:
            what = "this machine has no address in a network."
            faults.append(Fault("no-address", what, "Connect it, or say one with --at.", Where("--at")))
        return own
    try:
        found = ipaddress.ip_address(at.strip("[]"))
    except ValueError:
        faults.append(
            Fault("no-address", f"{at} is no address.", "Write one as 192.168.1.20.", Where("--at"))
        )
        return None
    if not shared and not found.is_loopback:
        faults.append(
            Fault(
                "not-shared",
                f"at {found} other machines reach these pages, and nobody would have to sign in.",
                "Say --shared, or leave --at away.",
                Where("--at"),
            )
        )
        return None
    return str(found)


def _certificate(
    certificate: Path | None, key: Path | None, *, unencrypted: bool, shared: bool, faults: list[Fault]
) -> tuple[Path, Path] | None:
    if not shared:
        return None
    if certificate is None and key is None:
        if not unencrypted:
            faults.append(
                Fault(
                    "no-certificate",
                    "passwords would go over the network for anybody to read.",
                    "Say --certificate and --key, or --unencrypted if you know who is on this network.",
                    Where("--certificate"),
                )
            )
        return None
    if unencrypted:
        what = "a certificate encrypts the line, --unencrypted leaves it open."
        faults.append(Fault("two-ways", what, "Leave one of them away.", Where("--unencrypted")))
    if certificate is None or key is None:
        missing = "--key" if key is None else "--certificate"
        what = "a certificate and its key go together."
        faults.append(Fault("no-certificate", what, f"Say {missing} too.", Where(missing)))
        return None
    for path, said in ((certificate, "--certificate"), (key, "--key")):
        try:
            path.read_bytes()
        except OSError as error:
            what = f"{path} cannot be read: {(error.strerror or str(error)).lower()}."
            faults.append(Fault("cannot-read", what, "Check the name and the place.", Where(said)))
            return None
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password=lambda: "")
    except (ssl.SSLError, ValueError, OSError):
        what = f"{certificate} and {key} are no certificate and its key in PEM, or do not belong together."
        remedy = "Make them anew; the key must have no password."
        faults.append(Fault("no-certificate", what, remedy, Where("--certificate")))
    return certificate, key


def _cannot_listen(at: str, port: int) -> Fault | None:
    """Why this machine cannot listen there; None where it can."""
    family = socket.AF_INET6 if ":" in at else socket.AF_INET
    with socket.socket(family) as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((at, port))
        except OSError as error:
            if error.errno == errno.EADDRNOTAVAIL:
                return Fault(
                    "no-address", f"{at} is no address of this machine.", "Name another.", Where("--at")
                )
            if error.errno == errno.EACCES:
                remedy = "Name another with --port, above 1023."
                return Fault("port-taken", f"this machine does not give port {port} to everybody.", remedy)
            remedy = "Stop it, or name another port with --port."
            return Fault("port-taken", f"another program listens on port {port}.", remedy)
    return None


def _own_address() -> str | None:
    """The address that this machine has in its network: from where it would reach another; nothing is sent.

    References:
        RFC 5737: 192.0.2.0/24 belongs to nobody.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))
        except OSError:
            return None
        found = str(asked.getsockname()[0])
    return None if ipaddress.ip_address(found).is_loopback else found


def _in_address(at: str) -> str:
    return f"[{at}]" if ":" in at else at


def hosts_of(port: int) -> frozenset[str]:
    """Names under which a server on this machine is asked."""
    return Sharing().hosts(port)


def serve(*, port: int, place: Place, sharing: Sharing) -> None:
    """Serves until it is stopped.

    Args:
        port: On which port of this machine.
        place: Where batches, rack, book and accounts are.
        sharing: To whom.
    """
    app = make_app(
        Settings(
            data=place.folder, hosts=sharing.hosts(port), warm=True, store=place, shared=sharing.shared,
            secure=sharing.secure,
        )
    )  # fmt: skip
    certificate, key = sharing.certificate or (None, None)
    uvicorn.run(
        app, host=sharing.at, port=port, log_level="warning", access_log=False, server_header=False,
        proxy_headers=False, limit_concurrency=MOST_AT_ONCE, ssl_certfile=certificate, ssl_keyfile=key,
    )  # fmt: skip
