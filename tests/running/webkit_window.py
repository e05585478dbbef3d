"""A window around WebKitGTK that a WebDriver may drive and that keeps what pages store in the folder SWARDBOOK_PROFILE.

The driver's own browser forgets everything when it ends, so it cannot show what outlives a phone that was switched off.
Run by Debian's Python, whose packages python3-gi and gir1.2-webkit2-4.1 know the engine.
"""

import os
from pathlib import Path

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402

PROFILE = Path(os.environ["SWARDBOOK_PROFILE"])
WIDTH_PX, HEIGHT_PX = 390, 844


def automate(context, session):
    said = WebKit2.ApplicationInfo()
    said.set_name("WebKitGTK")
    said.set_version(WebKit2.get_major_version(), WebKit2.get_minor_version(), WebKit2.get_micro_version())
    session.set_application_info(said)
    session.connect("create-web-view", lambda _session: open_window(context))


def open_window(context):
    view = WebKit2.WebView(web_context=context, is_controlled_by_automation=True)
    view.connect("permission-request", allow)
    window = Gtk.Window(default_width=WIDTH_PX, default_height=HEIGHT_PX)
    window.add(view)
    window.show_all()
    return view


def allow(_view, request):
    request.allow()
    return True


def main():
    data = WebKit2.WebsiteDataManager(
        base_data_directory=str(PROFILE / "data"), base_cache_directory=str(PROFILE / "cache")
    )
    context = WebKit2.WebContext(website_data_manager=data)
    context.get_cookie_manager().set_persistent_storage(
        str(PROFILE / "cookies"), WebKit2.CookiePersistentStorage.TEXT
    )
    context.set_automation_allowed(True)
    context.connect("automation-started", automate)
    Gtk.main()


if __name__ == "__main__":
    main()
