"""`manage.py start`: everything that an installation needs, in one command, until Ctrl-C."""

import os
import signal
import sys
import time
from contextlib import contextmanager

# The web server is another process; when it is missing, this one says so.
import granian  # noqa: F401
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.db import DatabaseError

from config.errors import SwardbookError
from config.running import CannotStart, address, folder
from config.running.authority import fingerprint_of
from config.running.certificates import authority_in
from config.running.crew import Crew
from config.running.site import Site, certificate_of
from config.running.static import gather_static_files

READY_SECONDS = 60.0
LOOK_AGAIN_SECONDS = 60.0
UNENCRYPTED = (
    "Warning: other machines can reach this address, and what goes to and fro, passwords too, is not "
    "encrypted. Use it only on a network that you trust, or with HTTPS, such as --https."
)
DEMO_OPEN = (
    "Warning: this installation has the demonstration's people, whose password everybody can read in the "
    "documentation. Keep nothing of your own in it."
)


class Command(BaseCommand):
    help = (
        "Makes the data folder, brings the database up to date, and runs the web server, the worker and the "
        "periodic tasks until Ctrl-C."
    )
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument(
            "--demo",
            action="store_true",
            help="load a fictional property, so that every page shows something",
        )
        parser.add_argument(
            "--host", help="address to listen on (default 127.0.0.1, with HTTPS every one of this machine)"
        )
        parser.add_argument("--port", default="8000", help="port to listen on (default 8000)")
        parser.add_argument(
            "--https",
            action="store_true",
            help="speak HTTPS with a certificate made here, which phones trust once its authority is installed on them",
        )
        parser.add_argument(
            "--certificate", metavar="FILE", help="speak HTTPS with this certificate (PEM, with its chain)"
        )
        parser.add_argument("--key", metavar="FILE", help="the certificate's key (PEM, without a password)")

    def handle(self, *, demo, host, port, https, certificate, key, **options):
        os.umask(0o077)
        try:
            with signals_like_ctrl_c():
                site = Site(host, port_number(port), certificate_of(https, certificate, key))
                self.start(demo, site)
        except KeyboardInterrupt:
            self.say("Stopped.")
        except (CannotStart, SwardbookError) as error:
            sys.exit(str(error))

    def start(self, demo, site):
        from fieldlog.services.demo import load_demo

        address.check_free(site.host, site.port)
        folder.make_data_folder(settings.DATA_DIR)
        with folder.the_only_run(settings.DATA_DIR) as lock:
            site.fit_certificate()
            prepare()
            with Crew(site.parts(), site.environment(), lock, self.say) as crew:
                if demo:
                    load_demo()
                wait_until_ready(crew, site)
                self.announce(site)
                try:
                    self.mind(crew, site)
                except KeyboardInterrupt:
                    self.say("Stopping …")
                    raise

    def mind(self, crew, site):
        """Keep the parts running, and the certificate good for this machine's addresses and this day."""
        look_again_at = time.monotonic() + LOOK_AGAIN_SECONDS
        said = None
        while True:
            crew.tend()
            time.sleep(0.25)
            if site.certificate is None or time.monotonic() < look_again_at:
                continue
            look_again_at = time.monotonic() + LOOK_AGAIN_SECONDS
            try:
                if site.fit_certificate():
                    self.say("The certificate is another one now; the web server takes it up.")
                    crew.renew("web", site.environment())
                said = None
            except CannotStart as error:  # it goes on with what it has
                if str(error) != said:
                    said = str(error)
                    self.say(said)

    def announce(self, site):
        from blends.services import demo
        from plots.services.people import first_owner_link

        first, *others = site.addresses()
        self.say(f"Swardbook is running at {first} (Ctrl-C stops it)")
        for other in others:
            self.say(f"                    also at {other}")
        if secret := first_owner_link():
            self.say(f"Make the owner's account, once, at {first}welcome/{secret}/")
        is_demo = demo.is_open()
        if is_demo:
            for person in demo.PEOPLE:
                self.say(f"Sign in as {person.username} ({person.role}), password: {demo.PASSWORD}")
        if site.certificate:
            self.announce_https(site, first)
        if not address.is_local(site.host):
            if not site.certificate and not settings.BEHIND_TLS:
                self.say(UNENCRYPTED)
            if is_demo:
                self.say(DEMO_OPEN)

    def announce_https(self, site, first):
        self.say("Only addresses that begin with https:// are answered on this port.")
        if site.is_private:
            if site.certificate.is_authority_new:
                self.say("A certificate authority was made for this machine; a phone has to install it once.")
            self.say(f"Its fingerprint (SHA-256): {fingerprint_of(authority_in(settings.AUTHORITY_DIR))}")
            self.say("Until it is installed, a browser warns; compare the fingerprint before you install it.")
        if site.certificate.left_out:
            names = ", ".join(site.certificate.left_out)
            self.say(
                f"Phones refuse {names}: the authority in {settings.AUTHORITY_DIR} may not vouch for it. Move the "
                "authority away to have another made, which every phone has to install again."
            )
        self.say(f"Connect a phone: {first}connect/")

    def say(self, line):
        self.stdout.write(line)
        self.stdout.flush()


def port_number(text):
    if not str(text).isdecimal() or not 1 <= int(text) <= 65535:
        raise CannotStart(f"--port is {text!r}; a number from 1 to 65535 is accepted.")
    return int(text)


@contextmanager
def signals_like_ctrl_c():
    """SIGTERM and a closed terminal end the run as Ctrl-C does; under nohup the terminal may close."""

    def interrupt(number, frame):
        raise KeyboardInterrupt

    ending = [signal.SIGINT, signal.SIGTERM]
    if signal.getsignal(signal.SIGHUP) is not signal.SIG_IGN:
        ending.append(signal.SIGHUP)
    before = {each: signal.signal(each, interrupt) for each in ending}
    try:
        yield
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)


def prepare():
    """Everything that has to be there before a page can be served. Fast when nothing has changed."""
    try:
        folder.make_secret_key(settings.SECRET_KEY_FILE)
        folder.make_working_folders(settings.DATA_DIR, settings.BROKER_DIR)
        call_command("migrate", interactive=False, verbosity=0)
        gather_static_files()
    except DatabaseError as error:
        said = " ".join(str(error).split())
        raise CannotStart(f"The database cannot be used: {said}") from error
    except OSError as error:
        raise CannotStart(f"{error.filename or settings.DATA_DIR}: {error.strerror}.") from error


def wait_until_ready(crew, site):
    deadline = time.monotonic() + READY_SECONDS
    while not site.answers():
        if part := crew.ended():
            raise CannotStart(f"The {part.name} ended before it was ready; what it said stands above.")
        if time.monotonic() > deadline:
            raise CannotStart(f"No page came within {READY_SECONDS:.0f} s; what went wrong stands above.")
        time.sleep(0.1)
