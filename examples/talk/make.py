"""Makes the recordings of the demonstration, with their captions: voices by espeak-ng, a film from
published stills, packed by ffmpeg (all three from Debian: `apt-get install espeak-ng ffmpeg`).

    python3 examples/talk/make.py content DISPLAY

DISPLAY is the published site whose stills the film shows. Captions get their times from the speech
itself. Nobody's voice is imitated; the captions under the recordings say that all of it is made by
computer.
"""

import subprocess
import sys
import tempfile
import wave
from pathlib import Path

PAUSE_S = 0.45
LEAD_S = 0.3

COLOUR = [
    ("Elin Fychan", "en-gb+f3", "Gwil, why is the replica darker than bare metal?", "Gwil, pam mae’r replica’n dywyllach na metel noeth?"),
    ("Gwil Parry", "en-gb+m3", "Bare aluminium is nearly white, and it comes off on your hands.", "Mae alwminiwm noeth bron yn wyn, ac mae’n gadael ei ôl ar eich dwylo."),
    ("Gwil Parry", "en-gb+m3", "So I put a brown lacquer over it.", "Felly rhoddais lacr brown drosto."),
    ("Elin Fychan", "en-gb+f3", "We tried three colours beside the original.", "Profwyd tri lliw gennym wrth ymyl y gwreiddiol."),
    ("Gwil Parry", "en-gb+m3", "You took the one that looks right from across the room.", "Dewisaist yr un sy’n edrych yn iawn o ben arall yr ystafell."),
    ("Elin Fychan", "en-gb+f3", "And not from close by. Nobody should take the copy for the old one.", "Ond nid o agos. Ni ddylai neb gymryd y copi am yr hen un."),
]
LAMP = [
    ("Ruth Adeyemi", "en-gb+f4", "A lamp goes once round the letters, low over the metal.", "Mae lamp yn mynd unwaith o amgylch y llythrennau, yn isel dros y metel."),
    ("Ruth Adeyemi", "en-gb+f4", "A small cross shows where the line begins.", "Mae croes fach yn dangos ble mae’r llinell yn dechrau."),
    ("Ruth Adeyemi", "en-gb+f4", "From the side, every upright stroke throws a shadow.", "O’r ochr, mae pob llinell unionsyth yn taflu cysgod."),
    ("Ruth Adeyemi", "en-gb+f4", "From above, the bars that lie across show instead.", "Oddi uchod, y llinellau ar draws a welir yn eu lle."),
]
SIDES = ["left", "upper-left", "above", "upper-right", "right", "lower-right", "below", "lower-left", "left"]
HARES = {
    "en": ("en-gb+f3", "Below the lettering a band runs round the mortar, about as high as two fingers are broad. Ridges close it off above and below. Hares leap along it to the right, one behind another, in low relief. Long ears lie back over each body, and all four legs are stretched. Between two of them stands a sprig of leaves."),
    "cy": ("cy", "O dan y llythrennau mae band yn rhedeg o amgylch y morter, tua dau fys o led. Mae crib uwch ei ben ac oddi tano. Mae ysgyfarnogod yn llamu ar ei hyd tua’r dde, y naill ar ôl y llall, mewn cerfwedd isel. Mae clustiau hir yn gorwedd yn ôl dros bob corff, a’r pedair coes wedi’u hymestyn. Rhwng dwy ohonynt saif sbrigyn o ddail."),
}


def speak(voice, text, path):
    subprocess.run(["espeak-ng", "-v", voice, "-s", "150", "-w", str(path), text.replace("’", "'")], check=True)
    with wave.open(str(path)) as sound:
        return sound.getparams(), sound.readframes(sound.getnframes())


def stamp(seconds):
    ms = round(seconds * 1000)
    return f"{ms // 60000:02}:{ms // 1000 % 60:02}.{ms % 1000:03}"


def talk(lines, folder, name, work):
    """Speech to WORK/name.wav and captions in both languages beside the record; gives the length."""
    at, frames, cues = LEAD_S, b"", []
    for number, (speaker, voice, english, welsh) in enumerate(lines):
        params, sound = speak(voice, english, work / f"{name}-{number}.wav")
        rate = params.framerate
        if not frames:
            frames = b"\0\0" * round(LEAD_S * rate)
        length = len(sound) / 2 / rate
        cues.append((at, at + length, speaker, english, welsh))
        frames += sound + b"\0\0" * round(PAUSE_S * rate)
        at += length + round(PAUSE_S * rate) / rate
    with wave.open(str(work / f"{name}.wav"), "wb") as out:
        out.setparams(params._replace(nframes=0))
        out.writeframes(frames)
    for lang, place in (("en", 3), ("cy", 4)):
        text = "WEBVTT\n\nNOTE Made with examples/talk/make.py.\n"
        for cue in cues:
            text += f"\n{stamp(cue[0])} --> {stamp(cue[1])}\n<v {cue[2]}>{cue[place]}\n"
        (folder / f"{name}.{lang}.vtt").write_text(text, encoding="utf-8")
    return at


def pack(*arguments):
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-bitexact", *map(str, arguments)], check=True)


def main(content, display):
    mortar = Path(content) / "brackwater-mortar"
    with tempfile.TemporaryDirectory() as place:
        work = Path(place)
        plain = ["-map_metadata", "-1", "-flags:a", "+bitexact", "-ac", "1"]
        lacquer = mortar / "making/06-lacquer"
        talk(COLOUR, lacquer, "the-colour", work)
        pack("-i", work / "the-colour.wav", *plain, "-b:a", "32k", lacquer / "the-colour.mp3")
        letters = mortar / "details/inscription-band"
        length = talk(LAMP, letters, "lamp", work)
        for number, side in enumerate(SIDES):
            (still,) = Path(display).glob(f"assets/brackwater-mortar-inscription-band-original-lit-{side}.*.jpg")
            (work / f"{number}.jpg").write_bytes(still.read_bytes())
        # Each still fades into the next: nothing flashes.
        fade = f"framerate=fps=10:interp_start=0:interp_end=255:scene=100,scale=400:-2,tpad=stop_mode=clone:stop_duration=2"
        pack(
            "-framerate", f"{(len(SIDES) - 1) / length:.4f}", "-i", work / "%d.jpg", "-i", work / "lamp.wav",
            "-vf", fade, "-c:v", "libx264", "-crf", "34", "-preset", "veryslow", "-pix_fmt", "yuv420p", "-threads", "1",
            *plain, "-c:a", "aac", "-b:a", "24k", "-t", f"{length:.2f}", "-movflags", "+faststart", letters / "lamp.mp4",
        )
        pack("-i", work / "0.jpg", "-vf", "scale=640:-2", "-q:v", "4", letters / "lamp.jpg")
        hares = mortar / "details/hare-frieze"
        for lang, (voice, text) in HARES.items():
            speak(voice, text, work / f"hares-{lang}.wav")
            pack("-i", work / f"hares-{lang}.wav", *plain, "-b:a", "32k", hares / f"hares.{lang}.mp3")


if __name__ == "__main__":
    main(*sys.argv[1:])
