"""The beginner-band handbook: from data files to pages.

Three rings, imports point inward only:

* domain: ``music``, ``teaching`` and ``people`` (no files, no HTML, no MkDocs);
* content and output: ``data`` (load, validate), ``pages`` (what a page shows), ``render`` (HTML, print, offline);
* build: ``hooks/build.py`` (MkDocs events), which alone knows the site engine.
"""
