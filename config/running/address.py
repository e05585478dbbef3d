"""Where the site listens, who can reach it there, and whether it answers."""

import errno
import http.client
import ipaddress
import os
import socket
import ssl

import psutil

from config.running import CannotStart

ANSWER_SECONDS = 10


def check_free(host, port):
    """Refuse a host that is not this machine's and a port that is taken or not ours to take."""
    try:
        family, kind, _, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(address)
    except socket.gaierror as error:
        raise CannotStart(f"--host is {host!r}, which names no address of this machine.") from error
    except OSError as error:
        raise CannotStart(_why_not(error, host, port)) from error


def _why_not(error, host, port):
    if error.errno == errno.EADDRINUSE:
        return f"Port {port} is in use by another program; choose a free one, such as --port {port + 1}."
    if error.errno == errno.EADDRNOTAVAIL:
        return f"--host is {host!r}, which is no address of this machine."
    if error.errno == errno.EACCES:
        return f"Port {port} is kept for the system; a port from 1024 to 65535 is accepted."
    return f"Port {port} of {host} cannot be used: {os.strerror(error.errno)}."


def is_local(host):
    """True when only this machine can reach the host."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def is_every_address(host):
    try:
        return ipaddress.ip_address(host).is_unspecified
    except ValueError:
        return False


def names_of(host):
    """The names by which a browser may call the site when it listens on `host`."""
    if not is_every_address(host):
        return [_in_url(host)]
    name = socket.gethostname()
    own = [address for addresses in psutil.net_if_addrs().values() for address in addresses]
    numbers = [each.address for each in own if each.family == socket.AF_INET]
    if ":" in host:
        numbers += [_in_url(each.address) for each in own if each.family == socket.AF_INET6]
    names = [name, f"{name.partition('.')[0]}.local", *numbers]
    return list(dict.fromkeys(each for each in names if "%" not in each))


def url_of(name, port, scheme="http"):
    return f"{scheme}://{name}:{port}/"


def reached_first():
    """The address of this machine in the network that it speaks to others by; None without a network. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("198.51.100.1", 9))  # an address of documentation, RFC 5737
        except OSError:
            return None
        return probe.getsockname()[0]


def _in_url(host):
    return f"[{host}]" if ":" in host else host


def answers(host, port, scheme="http"):
    """True when the site gives a page; False while nothing listens yet or the page is a failure."""
    if is_every_address(host):
        host = "::1" if ":" in host else "127.0.0.1"
    connection = _connection(host, port, scheme)
    try:
        connection.request("GET", "/sign-in/", headers={"Host": "localhost"})
        return connection.getresponse().status < 500
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


def _connection(host, port, scheme):
    if scheme == "http":
        return http.client.HTTPConnection(host, port, timeout=ANSWER_SECONDS)
    # This machine asks itself whether it answers, by a number that the certificate may not name.
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    return http.client.HTTPSConnection(host, port, timeout=ANSWER_SECONDS, context=context)
