"""The weekly usage report on paper."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from printcrib.core.errors import ShopError

PDF = "pdf"
PNG = "png"


class PaperReports:
    """Makes the shop's paper from templates under resources/reports.

    The same figures give the same bytes: no date or machine name goes into the file.

    Args:
        resources: the folder with reports/ and fonts/.
    """

    def __init__(self, resources: Path) -> None:
        self._templates = resources / "reports"
        self._fonts = resources / "fonts"

    def week_pdf(self, data: Mapping[str, Any]) -> bytes:
        """The weekly usage report as a tagged PDF.

        Args:
            data: `services.write_week.week_json`.
        """
        made = self._compiled("week.typ", data, format=PDF, pdf_standards="ua-1")
        return made if isinstance(made, bytes) else b"".join(made)

    def week_pages(self, data: Mapping[str, Any], pixels_per_inch: float) -> tuple[bytes, ...]:
        """The same pages as PNG pictures for the screen, one a page."""
        made = self._compiled("week.typ", data, format=PNG, ppi=pixels_per_inch)
        return (made,) if isinstance(made, bytes) else tuple(made)

    def _compiled(self, template: str, data: Mapping[str, Any], **how: Any) -> bytes | list[bytes]:
        import typst

        try:
            made: bytes | list[bytes] = typst.compile(
                str(self._templates / template),
                root=str(self._templates),
                font_paths=[str(self._fonts)],
                ignore_system_fonts=True,
                sys_inputs={"data": json.dumps(data, ensure_ascii=False, sort_keys=True)},
                **how,
            )
        except (RuntimeError, OSError) as error:
            raise ShopError(
                "The report could not be set", "Look whether the program's folder is complete."
            ) from error
        return made
