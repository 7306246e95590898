"""Pictures for browser tests: photos of noise, ticket codes, and a camera that sees one."""

import io
import random
from pathlib import Path

import segno
from PIL import Image

FAKE_CAMERA = "--use-fake-device-for-media-stream"
ALLOWED = "--use-fake-ui-for-media-stream"
FRAME = (640, 480)


def noise(
    path: Path, size: tuple[int, int] = (320, 240), kind: str = "JPEG", seed: int = 1
) -> bytes:
    """Write a picture of noise, which no format makes small; returns its bytes."""
    raw = random.Random(seed).randbytes(size[0] * size[1] * 3)
    Image.frombytes("RGB", size, raw).save(path, kind)
    return path.read_bytes()


def code(path: Path, text: str) -> Path:
    """Write a picture of a QR code on a white ticket."""
    segno.make(text, error="m", micro=False).save(str(path), scale=6, border=6)
    return path


def seen_by_the_camera(path: Path, picture: Path | None) -> str:
    """The argument that lets Chromium's pretended camera see a picture, or only white."""
    frame = Image.new("RGB", FRAME, "white")
    if picture:
        with Image.open(picture) as held:
            shown = held.convert("RGB").resize((400, 400), Image.Resampling.NEAREST)
        frame.paste(shown, (120, 40))
    raw = io.BytesIO()
    frame.save(raw, "JPEG", quality=95)
    path.write_bytes(raw.getvalue() * 10)
    return f"--use-file-for-fake-video-capture={path}"
