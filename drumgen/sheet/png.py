"""PNG: pages of a sheet as pictures, drawn from its PDF by PDFium, which needs no font or program of the system."""

from __future__ import annotations

from io import BytesIO

LEAST_DPI, MOST_DPI = 20, 600


def pdf_pngs(pdf: bytes, *, dpi: int) -> tuple[bytes, ...]:
    """One picture a page, ``dpi`` dots to the inch (20 to 600), black on white."""
    import pypdfium2

    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise ValueError(f"dpi from {LEAST_DPI} to {MOST_DPI}, not {dpi}")
    document = pypdfium2.PdfDocument(pdf)
    pictures = []
    try:
        for page in document:
            out = BytesIO()
            page.render(scale=dpi / 72, grayscale=True).to_pil().save(out, "PNG", dpi=(dpi, dpi))
            pictures.append(out.getvalue())
    finally:
        document.close()
    return tuple(pictures)
