"""What WeasyPrint leaves to do for PDF/A-3a and PDF/UA-1 in one file, and the files inside it.

ISO 19005-3:2012 (PDF/A-3) with conformance A, and ISO 14289-1:2014 (PDF/UA-1). The printer writes
the first by its variant, and takes one variant for a file; here the mark of the second is added to
its metadata (ISO 14289-1, clause 5), with the schema that PDF/A asks for where metadata are not its
own (ISO 19005-3, 6.6.2.3). Its `xmp_metadata` would stand behind the one RDF that XMP has.
"""

from __future__ import annotations

import base64
import codecs
import hashlib
import warnings
from typing import TYPE_CHECKING, Any

import pydyf

from riskdoc.report.errors import RenderError
from riskdoc.report.seal import sealed_pdf
from riskdoc.report.structure import mend, object_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from riskdoc.report.attachments import Attachment

VARIANT = "pdf/a-3a"
UA = """\
<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">\
<pdfuaid:part>1</pdfuaid:part></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
 xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">\
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289 the file is written to</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property></rdf:li></rdf:Bag></pdfaExtension:schemas>\
</rdf:Description>
"""
TRIES = 8
_END = b"</rdf:RDF>"
_UNCLEAR = b"\r\nendstream"
"""Data that end in CR, and the LF that closes them: together they read as one end of line, and the
stream as shorter than its Length (ISO 19005-3, 6.1.7.1). One in 256 compressed streams does.

Streams made here are written another way (`_settle`). The two lists of objects that the printer
adds last are out of reach: the file is made again with an empty object more, which changes both.
"""


def finished(document: Any, attachments: Sequence[Attachment], **options: Any) -> bytes:
    """A rendered document as the bytes of a PDF/A-3a and PDF/UA-1 file, with files inside it.

    `options` are those of the printer. Raises `RenderError` where two attachments have one name,
    and where the printer did not write what there is to finish.
    """
    for spare in range(TRIES):
        finish = _finisher(attachments, spare)
        with warnings.catch_warnings():
            # The printer leaves its own colour profile for the collector to close.
            warnings.simplefilter("ignore", ResourceWarning)
            pdf: bytes = document.write_pdf(finisher=finish, pdf_variant=VARIANT, **options)
        if _UNCLEAR not in pdf:
            return sealed_pdf(pdf)
    raise RenderError((f"no file with clear ends of its streams in {TRIES} tries",))


def _finisher(attachments: Sequence[Attachment], spare: int) -> Callable[[Any, Any], None]:
    names = [each.name for each in attachments]
    if len(set(names)) < len(names):
        raise RenderError((f"two attachments have one name: {', '.join(sorted(names))}",))

    def finish(document: Any, pdf: Any) -> None:
        mend(document, pdf)
        _identify(pdf)
        _attach(pdf, attachments)
        for each in pdf.objects:
            if isinstance(each, pydyf.Stream):
                _settle(each)
        for _ in range(spare):
            pdf.add_object(pydyf.Dictionary())

    return finish


def _identify(pdf: Any) -> None:
    """Adds the mark of PDF/UA; metadata stay readable without a PDF reader."""
    stream = object_of(pdf, pdf.catalog["Metadata"])
    text = b"".join(stream.stream)
    if text.count(_END) != 1:
        raise RenderError(("the printer wrote no metadata that could be added to",))
    stream.stream = [text.replace(_END, UA.encode("ascii") + _END)]
    stream.compress = False


def _settle(stream: Any) -> None:
    """Gives a stream its final bytes; data that end in CR go in letters, which end in `~>`."""
    data = stream.data.partition(b"\nstream\n")[2].removesuffix(b"\nendstream")
    extra = pydyf.Dictionary(stream.extra)
    if stream.compress:
        extra["Filter"] = "/FlateDecode"
    if data.endswith(b"\r"):
        data = base64.a85encode(data) + b"~>"
        inner, how = extra.get("Filter"), extra.get("DecodeParms")
        extra["Filter"] = pydyf.Array(["/ASCII85Decode", *_listed(inner)])
        if how is not None:
            extra["DecodeParms"] = pydyf.Array([b"null", *_listed(how)])
    stream.stream, stream.extra, stream.compress = [data], extra, False


def _listed(value: Any) -> list[Any]:
    if value is None:
        return []
    return list(value) if isinstance(value, list) else [value]


def _attach(pdf: Any, attachments: Sequence[Attachment]) -> None:
    """Writes attachments of the whole document (ISO 19005-3, 6.8).

    Not by the printer's `attachments`: it lists every file twice under AF, names it in UTF-8 where
    a name tree has text strings, in the order of the call where a name tree is sorted, gives the
    relationship by content, and has no name for the file under UF.
    """
    if not attachments:
        return
    # A name tree is read by halving: its names stand in order (ISO 32000-1, 7.9.6).
    ordered = sorted(attachments, key=lambda each: _text(each.name))
    files = pydyf.Array([_file(pdf, each) for each in ordered])
    names = pydyf.Array()
    for each, file in zip(ordered, files, strict=True):
        names.extend([_string(each.name), file])
    tree = pydyf.Dictionary({"Names": names})
    pdf.add_object(tree)
    pdf.catalog.setdefault("Names", pydyf.Dictionary())["EmbeddedFiles"] = tree.reference
    pdf.catalog["AF"] = files


def _file(pdf: Any, attachment: Attachment) -> bytes:
    content = attachment.content
    day = pydyf.String(f"D:{attachment.day:%Y%m%d}000000Z")
    # A checksum of the format's own (7.11.4.2), which protects nothing.
    check = hashlib.md5(content, usedforsecurity=False).hexdigest()
    extra = pydyf.Dictionary({
        "Type": "/EmbeddedFile",
        "Subtype": pydyf.name(attachment.mime),
        "Params": pydyf.Dictionary({
            "Size": len(content), "CheckSum": f"<{check}>", "ModDate": day,
        }),
    })  # fmt: skip
    stream = pydyf.Stream([content], extra, compress=True)
    pdf.add_object(stream)
    specification = pydyf.Dictionary({
        "Type": "/Filespec",
        # F is for readers that know no Unicode.
        "F": _string(attachment.name.encode("ascii", "replace").decode().replace("?", "_")),
        "UF": _string(attachment.name),
        "EF": pydyf.Dictionary({"F": stream.reference, "UF": stream.reference}),
        "Desc": pydyf.String(attachment.text),
        "AFRelationship": f"/{attachment.relationship}",
    })  # fmt: skip
    pdf.add_object(specification)
    reference: bytes = specification.reference
    return reference


def _string(name: str) -> str:
    return f"<{_text(name).hex()}>"


def _text(name: str) -> bytes:
    """A text string (ISO 32000-1, 7.9.2.2); what a file system gave that is no text becomes `?`."""
    name = name.encode("utf-8", "replace").decode()
    return name.encode() if name.isascii() else codecs.BOM_UTF16_BE + name.encode("utf-16-be")
