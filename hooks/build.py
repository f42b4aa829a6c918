"""MkDocs events, and nothing else: the only file that knows the site engine.

Order of one build: ``on_config`` computes or reads back all products, so that a mistake in the content stops the build
before anything is written; ``on_files`` adds them; ``on_page_content`` fills the placeholders; the site is built in a
folder beside the last one and takes its place at the very end. Paper is printed meanwhile; while serving, pages are
shown before it is done.
"""

from __future__ import annotations

import gc
import logging
import shutil
import sys
import threading
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, cast

from filelock import BaseFileLock
from jinja2 import Environment, FileSystemBytecodeCache
from markupsafe import escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import event_priority
from mkdocs.structure.files import File, Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page
from mkdocs.utils import CountHandler

from beginnerband import assemble, audience, products, rendered, showing, site
from beginnerband.data.problems import DataError
from beginnerband.render import terms
from beginnerband.render.finish import Awaited, finish, mark, pack
from beginnerband.render.printing import Printer, PrintError
from beginnerband.wholefile import write_whole


class Build:
    """The state of one build, from ``on_config`` to its end."""

    command = "build"
    """The MkDocs command that runs: ``build``, ``serve`` or ``gh-deploy``."""
    target: Path | None = None
    """Where the site goes in the end; ``None`` while serving."""
    stored: products.Stored | None = None
    """This build's products."""
    leaders = False
    """Whether this is the leader's own copy."""
    glossary: terms.Glossary
    """Terms to explain."""
    meanings: bytes
    """Digest of them."""
    report = ""
    """What keeps a served handbook from being shown."""
    began = 0.0
    """When it began, on a clock of its own."""
    made = ""
    """What it made, said at the end."""
    pages = 0
    """How many pages it has."""
    pictures: dict[str, str]
    """Drawings taken out of the pages while they are searched for words."""
    warnings: WarningCounter
    rendered: rendered.Rendered
    """Pages that earlier builds finished."""
    there: bytes
    """Which files this build has."""
    claim: BaseFileLock | None = None
    """Keeps other builds off the same folder."""
    printer: Printer | None = None
    """Prints while the rest is built."""
    later: assemble.PutOff | None = None
    """While serving: makes what pages can do without."""
    settled: threading.Event
    """While serving: set when no build is at work."""


class WarningCounter(logging.Handler):
    """Counts what MkDocs warns of, since a build with warnings must not replace the last good site."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []

    @property
    def count(self) -> int:
        """How many there were."""
        return len(self.said)

    def emit(self, record: logging.LogRecord) -> None:
        """Take one."""
        self.said.append(record.getMessage())


class Later(File):  # type: ignore[misc]
    """A file that is put into the site when it is there, or while serving when it is asked for."""

    def copy_file(self, dirty: bool = False) -> None:
        """Do nothing yet."""


class Computed(File):  # type: ignore[misc]
    """A file of the products."""

    def copy_file(self, dirty: bool = False) -> None:
        """Write it into the site."""
        target = Path(self.abs_dest_path)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(_content(self.src_uri))


_build = Build()
log = logging.getLogger("mkdocs.handbook")


def on_startup(command: str, dirty: bool) -> None:
    """Remember the command. (Having this event also makes MkDocs keep the hook's state between rebuilds.)

    Nearly all that a build makes lives until its end, so that looking through all of it for what can be thrown away
    took a tenth of its time; what is new is still looked through. And the thread that hands out what is to be
    printed need not wait long for its turn, or printers would stand idle while pages are made.
    """
    _build.command = command
    gc.set_threshold(50_000, 20, 1_000)
    sys.setswitchinterval(0.0002)


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Compute the products, add them to the navigation, and build beside the last site."""
    root = Path(config.config_file_path).parent
    _build.report, _build.began = "", time.monotonic()
    _build.leaders = audience.is_leaders(root)
    publishing = _build.command == "gh-deploy" or Path(config.site_dir).resolve() == (root / audience.SHARED_FOLDER)
    if _build.leaders and publishing and _build.command != "serve":
        raise Abort(audience.REFUSAL)
    try:
        if _build.command != "serve":
            _build.claim = site.claim(Path(config.site_dir), root / ".cache")
            _build.target = Path(config.site_dir)
            config.site_dir = str(site.staging(_build.target))
        _build.printer = _build.printer or Printer(root / ".cache")
        _stop_later()
        _build.printer.stop()  # what the last build left to print, while serving
        serving = _build.command == "serve"
        if serving:
            _build.printer.hold()  # until the pages are shown
        shown = assemble.obtain_shown(root, root / ".cache", log.info, _build.printer, at_once=not serving)
        _build.stored, _build.later = shown
    except (DataError, site.BusyError, OSError) as error:
        report = site.trouble(error) if isinstance(error, OSError) else str(error)
        if _build.command != "serve":
            raise Abort(report) from None
        return _only_the_report(config, report)
    for note in _build.stored.notes:  # not a warning of the site engine, which would stop a strict build
        print(f"note: {note}", file=sys.stderr)
    _build.glossary = terms.Glossary.read(_content(terms.FILE))
    _build.meanings = rendered.digest_of(_build.glossary)
    listed = [(page.nav, page.title, page.uri) for page in _build.stored.pages]
    config.nav = site.with_pages(config.nav or [], listed)
    _build.rendered = rendered.Rendered(
        root / ".cache", (Path(config.config_file_path).read_bytes(), config.site_url, config.theme.name)
    )
    _build.pictures = {}
    _build.warnings = WarningCounter()
    logger = logging.getLogger("mkdocs")
    logger.addHandler(_build.warnings)
    if logger.level > logging.WARNING:  # --quiet: what stops a strict build must still be seen
        logger.setLevel(logging.WARNING)
    return config


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Add generated pages and computed files, the handbook's own scripts and styles among them."""
    if _build.report:
        return Files([])
    assert _build.stored
    for page in _build.stored.pages:
        _put(files, File.generated(config, page.uri, content=page.text))
    for uri in _build.stored.assets:
        _put(files, (Later if _build.command == "serve" else Computed).generated(config, uri, content=b""))
    for uri in (*_build.stored.prints, *sorted(_build.later.addresses if _build.later else ())):
        _put(files, Later.generated(config, uri, content=b""))
    return files


def on_page_markdown(markdown: str, page: Page, config: MkDocsConfig, files: Files) -> None:
    """The title of a page people wrote is plain text, which the theme would print as it is."""
    if "title" in page.meta and (Path(config.docs_dir) / page.file.src_uri).is_file():
        page.meta["title"] = str(escape(str(page.meta["title"])))


def on_nav(nav: Navigation, config: MkDocsConfig, files: Files) -> Navigation:
    """Note which files there are, and take pages into the search index as they were, where they did not change."""
    if _build.report:
        return nav
    _build.pages = len(files.documentation_pages())
    _build.there = rendered.names_of(files)
    index = config.plugins["material/search"].search_index
    index.add_entry_from_context = rendered.indexing(index, _build.rendered)
    return nav


def on_pre_page(page: Page, config: MkDocsConfig, files: Files) -> Page:
    """Have the page converted only if it changed."""
    page.render = rendered.converting(page, files, _build.there, _build.rendered, lambda: _build.warnings.count)
    return page


def on_env(env: Environment, config: MkDocsConfig, files: Files) -> Environment:
    """Have the theme put around a page only if something it shows changed, and its templates compiled once."""
    if _build.report:
        return env
    env.bytecode_cache = FileSystemBytecodeCache(str(_build.rendered.templates()))
    return cast(Environment, rendered.Around(env, _build.rendered))


def on_page_content(html: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    """Put the computed HTML in place of its placeholders, all but drawings, and explain trade terms."""
    assert _build.stored
    words = site.set_aside(site.fill(html, _build.stored.fragments), _build.pictures)
    uri = page.file.src_uri
    made_of = (words, _build.meanings)
    return _build.rendered.step(uri, "terms", made_of, lambda: terms.mark(words, uri, _build.glossary))


def on_post_page(output: str, page: Page, config: MkDocsConfig) -> str:
    """Put the drawings back; mark what is served of the leader's own copy."""
    _build.rendered.close()
    whole = site.fill(output, _build.pictures)
    serving = _build.leaders and _build.command == "serve"  # nothing else marks a page that is only shown
    return mark.marked(whole, audience.MARK) if serving else whole


@event_priority(-200)  # type: ignore[untyped-decorator]
def on_post_build(config: MkDocsConfig) -> None:
    """After every plugin: put the new site in the old one's place, unless something was warned of."""
    _finish_counting()
    if _build.target is None:
        _show_report(config)
        if _build.report:
            _stop_later()  # it will never be begun, and whoever waits for it would wait for ever
            return
        assert _build.printer
        if _build.later:
            _build.later.begin()
        _build.printer.release()
        return
    stage = Path(config.site_dir)
    config.site_dir = str(_build.target)
    if config.strict and _build.warnings.count:
        site.discard(_build.target)
    else:
        assert _build.stored
        assert _build.printer
        _bring_later(stage)
        finish(stage, _build.leaders)
        log.info("Packing what is carried away, waiting for what is printed")
        _build.printer.hurry(_build.stored.prints.values())
        awaited = Awaited(_build.stored.prints, lambda name: _bring_printed(name, stage))
        try:
            pack(stage, Path(config.config_file_path).parent / ".cache", awaited)
            _build.printer.tidy()
        except PrintError as error:
            raise Abort(f"Nothing was built: {error}") from None
        site.publish(stage, _build.target)
        seconds = time.monotonic() - _build.began
        _build.made = f"Made the handbook: {_build.pages} pages in {_build.target.name}/, in {seconds:.0f} seconds"


def on_build_error(error: Exception) -> None:
    """Leave nothing half-written behind."""
    _finish_counting()
    _stop_later()
    if _build.printer:
        _build.printer.stop()
    if _build.target is not None:
        site.discard(_build.target)
    if isinstance(error, OSError):
        raise Abort(site.trouble(error)) from None


def on_serve(server: LiveReloadServer, config: MkDocsConfig, builder: Callable[..., None]) -> LiveReloadServer:
    """Show in the browser what else can stop a build, such as a slip in ``mkdocs.yml``; without it, it would wait."""
    build, folder, answer = server.builder, Path(server.root), server.get_app()
    _build.settled = threading.Event()
    _build.settled.set()
    loading = threading.Lock()  # no build forks while modules are imported

    def get_ready() -> None:
        with loading:
            assemble.get_ready(Path(config.config_file_path).parent)

    def build_or_say() -> None:
        _build.settled.clear()
        try:
            with loading:
                build()
        except (Exception, SystemExit) as error:
            log.error(str(error))
            showing.show(str(error), folder)
        finally:
            _build.settled.set()
            threading.Thread(target=_let_go, args=(_build.later,), daemon=True).start()

    def once_there(request: dict[str, Any], respond: Callable[..., Any]) -> Iterable[bytes]:
        try:
            _bring(request["PATH_INFO"].removeprefix(server.mount_path).lstrip("/"), folder)
        except PrintError as error:
            respond("500 Internal Server Error", [("Content-Type", "text/plain; charset=utf-8")])
            return [str(error).encode()]
        return cast(Iterable[bytes], answer(request, respond))

    server.set_app(once_there)
    server.builder = build_or_say
    threading.Thread(target=get_ready, daemon=True).start()
    return server


def on_shutdown() -> None:
    """Say in the last line what was made.

    Python would look through all that was made once more before it ends, for what may be thrown away: for a second.
    """
    _stop_later()
    if _build.printer:
        _build.printer.stop()
    if _build.made:
        log.info(_build.made)
    gc.freeze()


def _only_the_report(config: MkDocsConfig, report: str) -> MkDocsConfig:
    """Build no page, only what says what is wrong."""
    log.error(report)
    _build.report = report
    _build.warnings = WarningCounter()
    config.nav = None
    config.theme.static_templates = set()
    return config


def _content(uri: str) -> bytes:
    """What is in a computed file; nothing where there is none."""
    assert _build.stored
    return _build.stored.content(uri) if uri in _build.stored.assets else b""


def _bring_printed(uri: str, folder: Path) -> None:
    """Wait for a printed file, and put it into the built site in ``folder``."""
    assert _build.stored
    assert _build.printer
    _build.printer.wait([_build.stored.prints[uri]])
    (folder / uri).parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(_build.printer.path(_build.stored.prints[uri]), folder / uri)


def _bring_later(folder: Path) -> None:
    """Wait for what pages can do without, and put it into the built site in ``folder``."""
    if _build.later is None:
        return
    whole = _build.later.wait()
    if whole is None:
        raise Abort(f"Nothing was built: {_build.later.trouble}")
    _build.stored = whole
    for uri in _build.later.addresses & whole.assets.keys():
        write_whole(folder / uri, whole.content(uri))


def _stop_later() -> None:
    """Leave undone what the last build put off."""
    later, _build.later = _build.later, None
    if later:
        later.stop()


def _bring(uri: str, folder: Path) -> None:
    """While serving: if ``uri`` is a file that is computed or printed, put it into its place, when it is printed.

    A build that begins meanwhile is waited for, since the file is another then. Raises ``PrintError``.
    """
    while True:
        _build.settled.wait()
        stored, printer, later = _build.stored, _build.printer, _build.later
        if not stored or not printer or _build.report:
            return
        whole = stored
        if later and uri in later.addresses:
            made = later.wait()
            if made is None and _build.later is later:
                raise PrintError(later.trouble)
            whole = made or stored
        if uri in whole.prints:
            printer.wait([whole.prints[uri]])
        if _build.settled.is_set() and _build.stored is stored:
            break
    if uri not in whole.assets and uri not in whole.prints:
        return
    if (folder / uri).is_file():
        return
    if uri in whole.assets:
        write_whole(folder / uri, whole.content(uri))
        return
    paper = printer.path(whole.prints[uri])
    if not paper.is_file():
        raise PrintError("the build that should have printed it was broken off; its mistake is said where it runs")
    write_whole(folder / uri, paper.read_bytes())


def _let_go(later: assemble.PutOff | None) -> None:
    """While serving: throw away what the last build left, when nothing waits for a build any more.

    What refers to itself in a circle is not found meanwhile (``on_startup``): a page, its section and the whole site.
    """
    if later:
        later.wait()
    if _build.settled.is_set():
        gc.collect()


def _show_report(config: MkDocsConfig) -> None:
    """While serving: show what is wrong, or was warned of, in the place of the site, and let the server go on."""
    _build.report = _build.report or "\n".join(_build.warnings.said)
    if _build.report:
        showing.show(_build.report, Path(config.site_dir))
    for handler in logging.getLogger("mkdocs").handlers:
        if isinstance(handler, CountHandler):  # by which a strict build ends in an error
            handler.counts.clear()


def _finish_counting() -> None:
    if hasattr(_build, "warnings"):
        logging.getLogger("mkdocs").removeHandler(_build.warnings)


def _put(files: Files, file: File) -> None:
    """Add ``file`` in place of one of the same name."""
    present = files.get_file_from_path(file.src_uri)
    if present is not None:
        files.remove(present)
    files.append(file)
