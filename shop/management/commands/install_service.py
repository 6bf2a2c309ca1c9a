"""`manage.py install_service`: have the machine start the shop by itself."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from xml.sax.saxutils import escape

from django.conf import settings
from django.core.management import CommandError, CommandParser

from shop.bootstrap.places import ON_MAC, ON_WINDOWS
from shop.management.command import ShopCommand

NAME = "mendwright"
# The options are described in systemd.exec(5) and systemd.service(5); which of them harden is common practice.
UNIT = """[Unit]
Description=Mendwright, the shop's book
After=network-online.target
Wants=network-online.target

[Service]
ExecStart={python} {manage} open{options}
WorkingDirectory={home}
Environment="SHOP_DATA={data}" SHOP_NO_INSTALL=1
EnvironmentFile=-{data}/service.env
Restart=on-failure
RestartSec=5
UMask=0077
NoNewPrivileges=yes
PrivateTmp=yes
PrivateDevices=yes
ProtectSystem=strict
ReadWritePaths={writes}
ProtectKernelTunables=yes
ProtectKernelModules=yes
ProtectControlGroups=yes
RestrictSUIDSGID=yes
RestrictRealtime=yes
LockPersonality=yes
RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6 AF_NETLINK

[Install]
WantedBy=default.target
"""
AGENT = """<?xml version="1.0" encoding="UTF-8"?>
<plist version="1.0">
  <dict>
    <key>Label</key><string>{name}</string>
    <key>ProgramArguments</key>
    <array>{words}</array>
    <key>WorkingDirectory</key><string>{home}</string>
    <key>EnvironmentVariables</key><dict><key>SHOP_DATA</key><string>{data}</string></dict>
    <key>RunAtLoad</key><true/>
    <key>KeepAlive</key><dict><key>SuccessfulExit</key><false/></dict>
  </dict>
</plist>
"""
WINDOWS = 'schtasks /Create /TN {name} /SC ONLOGON /TR "\\"{python}\\" \\"{manage}\\" open{options}"\n'


class Command(ShopCommand):
    """Print how the machine starts the shop by itself; write it with --yes."""

    help = "Print what makes this machine start the shop by itself; --yes writes it for the account that runs this."
    needs_book = False
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--yes", action="store_true", help="write the file instead of printing it")
        parser.add_argument("--lan", action="store_true", help="let other devices on the local network in")
        parser.add_argument("--https", action="store_true", help="speak https, as open --https does")

    def handle(self, *args: object, yes: bool, lan: bool, https: bool, **options: object) -> None:
        if settings.DEMO:
            raise CommandError("The demo is started by hand: run this without SHOP_DEMO.")
        said = f"{' --lan' if lan else ''}{' --https' if https else ''}"
        if ON_WINDOWS:
            self.stdout.write("# Not tried. Run this once; the shop then starts when you sign in.")
            self.stdout.write(windows_task(said))
            return
        path, content, then = (_agent if ON_MAC else _unit)(said)
        if told := _told_of_the_book():
            self.stdout.write(f"# {told}")
        if not yes:
            self.stdout.write(f"# {path}{' (not tried)' if ON_MAC else ''}\n{content}\n# then: {then}")
            self.stdout.write("# Nothing was written: add --yes for that.")
            return
        if path.exists() and path.read_text(encoding="utf-8") != content:
            raise CommandError(
                f"{path} is there already and says something else: look at it, delete it, and run this again."
            )
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content, encoding="utf-8")
        self.stdout.write(f"Written: {path}\nNow run: {then}")


def _told_of_the_book() -> str:
    """What has to be done so that the service opens the same book as whoever installs it; empty where it does so by itself.

    The address may hold a password, so it goes into no unit, which others may read.
    """
    if not os.environ.get("DATABASE_URL"):
        return ""
    if ON_MAC:
        return "DATABASE_URL is set here, and not in the agent: add it under EnvironmentVariables."
    file = Path(settings.SHOP_DATA) / "service.env"
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except FileNotFoundError:
        lines = []
    named = [
        line.partition("=")[2].strip().strip("\"'") for line in lines if line.startswith("DATABASE_URL=")
    ]
    if named[-1:] == [os.environ["DATABASE_URL"]]:
        return f"The service opens the book that DATABASE_URL in {file} names."
    differs = "another" if named else "no"
    return (
        f"DATABASE_URL is set here, and {file}, which the service reads, names {differs} book: write the line DATABASE_URL=… "
        "there, and let nobody else read that file (chmod 600)."
    )


def _unit(said: str) -> tuple[Path, str, str]:
    base = Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config")
    path = base / "systemd" / "user" / f"{NAME}.service"
    return path, unit(said), f"systemctl --user enable --now {NAME}; loginctl enable-linger"


def unit(said: str) -> str:
    """The systemd unit of this shop: it may write into the shop's folder and those of its backups, and nowhere else."""
    data = Path(settings.SHOP_DATA)
    backups = [folder for folder in os.environ.get("SHOP_BACKUPS", "").split(os.pathsep) if folder]
    writes = " ".join(_quoted(folder) for folder in [str(data), *backups])
    return UNIT.format(
        python=_quoted(sys.executable),
        manage=_quoted(str(settings.BASE_DIR / "manage.py")),
        home=str(settings.BASE_DIR).replace("%", "%%"),
        data=str(data).replace("%", "%%"),
        options=said,
        writes=writes,
    )


def _quoted(text: str) -> str:
    """A word of a unit as systemd reads it: in quotes, with its own signs doubled (systemd.syntax(7))."""
    text = text.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%")
    return f'"{text}"'


def _agent(said: str) -> tuple[Path, str, str]:
    path = Path.home() / "Library" / "LaunchAgents" / f"{NAME}.plist"
    return path, agent(said), f"launchctl load {path}"


def agent(said: str) -> str:
    """The launch agent of macOS (launchd.plist(5)); not tried."""
    words = [sys.executable, str(settings.BASE_DIR / "manage.py"), "open", *said.split()]
    return AGENT.format(
        name=NAME,
        words="".join(f"<string>{escape(word)}</string>" for word in words),
        home=escape(str(settings.BASE_DIR)),
        data=escape(str(settings.SHOP_DATA)),
    )


def windows_task(said: str) -> str:
    """The command that puts the shop on the task list of Windows; not tried."""
    return WINDOWS.format(
        name=NAME, python=sys.executable, manage=settings.BASE_DIR / "manage.py", options=said
    )
