"""The tool's own words, one table a language."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

from overlay.plan.fields import Side
from overlay.plan.session import Session


class Sheet(NamedTuple):
    """The headings of the printed shot list."""

    heading: str
    timecode: str
    what: str
    side: str
    position: str
    equipment: str
    first_cue: str
    filmed: str


@dataclass(frozen=True)
class Phrases:
    """What the tool itself says or prints in one language.

    `next_call` and `last_call` are said aloud; `{next}` and `{seconds}` are put in. Neither is
    there in a language that the tool has no words for.
    """

    left: str
    right: str
    next_call: str | None
    last_call: str | None
    opening: str
    preview: str
    work: str
    rest: str
    closing: str
    next: str
    round: str
    rounds: str
    of: str
    easier: str
    caution: str
    sheet: Sheet
    leader: str = "Leader"

    def side(self, side: Side) -> str:
        """The word for a side.

        >>> PHRASES["es"].side(Side.LEFT)
        'izquierda'
        """
        return self.left if side is Side.LEFT else self.right


PHRASES: dict[str, Phrases] = {
    "en": Phrases(
        left="left",
        right="right",
        next_call="Next, {next}.",
        last_call="Last {seconds} seconds.",
        opening="Opening",
        preview="Coming up",
        work="Work",
        rest="Rest",
        closing="Closing",
        next="Next",
        round="Round",
        rounds="rounds",
        of="of",
        easier="Easier",
        caution=(
            "Stop if you feel pain, dizziness, chest discomfort or unusual breathlessness, and get medical help if it "
            "does not pass. If you are pregnant, injured, unwell or new to exercise, ask a doctor or a qualified "
            "instructor before you begin. Keep the floor clear and choose the easier version when in doubt."
        ),
        sheet=Sheet(
            "Shot list", "Timecode, length", "What", "Side", "Position, camera", "Equipment", "First cue", "Filmed"
        ),
    ),
    "es": Phrases(
        left="izquierda",
        right="derecha",
        next_call="Ahora viene: {next}.",
        last_call="Últimos {seconds} segundos.",
        opening="Inicio",
        preview="A continuación",
        work="Trabajo",
        rest="Descanso",
        closing="Cierre",
        next="Después",
        round="Vuelta",
        rounds="vueltas",
        of="de",
        easier="Más fácil",
        caution=(
            "Para si notas dolor, mareo, molestias en el pecho o una falta de aire inusual, y pide ayuda médica si no "
            "se pasa. Si estás embarazada, lesionada o lesionado, enferma o enfermo, o empiezas a hacer ejercicio, "
            "consulta antes a tu médico o a un instructor cualificado. Deja el suelo libre y, en caso de duda, elige "
            "la versión más fácil."
        ),
        sheet=Sheet(
            "Lista de planos",
            "Timecode, duración",
            "Qué",
            "Lado",
            "Posición, cámara",
            "Material",
            "Primera frase",
            "Grabado",
        ),
    ),
    "fr": Phrases(
        left="gauche",
        right="droite",
        next_call="Ensuite : {next}.",
        last_call="Plus que {seconds} secondes.",
        opening="Ouverture",
        preview="À venir",
        work="Effort",
        rest="Repos",
        closing="Fin",
        next="Ensuite",
        round="Tour",
        rounds="tours",
        of="sur",
        easier="Plus facile",
        caution=(
            "Arrêtez en cas de douleur, de vertige, de gêne dans la poitrine ou d’essoufflement inhabituel, et "
            "consultez si cela ne passe pas. Si vous êtes enceinte, blessé, souffrant ou débutant, demandez l’avis "
            "d’un médecin ou d’un instructeur qualifié avant de commencer. Dégagez le sol et, dans le doute, "
            "choisissez la version plus facile."
        ),
        sheet=Sheet(
            "Liste des plans",
            "Timecode, durée",
            "Quoi",
            "Côté",
            "Position, caméra",
            "Matériel",
            "Première phrase",
            "Filmé",
        ),
    ),
    "de": Phrases(
        left="links",
        right="rechts",
        next_call="Als Nächstes: {next}.",
        last_call="Noch {seconds} Sekunden.",
        opening="Auftakt",
        preview="Gleich",
        work="Arbeit",
        rest="Pause",
        closing="Abschluss",
        next="Danach",
        round="Runde",
        rounds="Runden",
        of="von",
        easier="Leichter",
        caution=(
            "Hör auf bei Schmerzen, Schwindel, Druck in der Brust oder ungewohnter Atemnot, und hol ärztliche Hilfe, "
            "wenn es nicht vergeht. Frag bei Schwangerschaft, Verletzung, Krankheit oder wenn du neu anfängst vorher "
            "eine Ärztin, einen Arzt oder eine ausgebildete Trainingsleitung. Halte den Boden frei und nimm im Zweifel "
            "die leichtere Variante."
        ),
        sheet=Sheet(
            "Einstellungsliste",
            "Timecode, Länge",
            "Was",
            "Seite",
            "Stellung, Kamera",
            "Geräte",
            "Erster Satz",
            "Gedreht",
        ),
    ),
    "pt": Phrases(
        left="esquerda",
        right="direita",
        next_call="A seguir: {next}.",
        last_call="Últimos {seconds} segundos.",
        opening="Abertura",
        preview="A seguir",
        work="Trabalho",
        rest="Descanso",
        closing="Fecho",
        next="Depois",
        round="Volta",
        rounds="voltas",
        of="de",
        easier="Mais fácil",
        caution=(
            "Pare se sentir dor, tonturas, desconforto no peito ou falta de ar invulgar, e procure ajuda médica se não "
            "passar. Em caso de gravidez, lesão, doença ou se está a começar, consulte antes um médico ou um instrutor "
            "qualificado. Mantenha o chão livre e, em caso de dúvida, escolha a versão mais fácil."
        ),
        sheet=Sheet(
            "Lista de planos",
            "Timecode, duração",
            "O quê",
            "Lado",
            "Posição, câmara",
            "Material",
            "Primeira frase",
            "Gravado",
        ),
    ),
    "it": Phrases(
        left="sinistra",
        right="destra",
        next_call="Poi: {next}.",
        last_call="Ultimi {seconds} secondi.",
        opening="Apertura",
        preview="In arrivo",
        work="Lavoro",
        rest="Pausa",
        closing="Chiusura",
        next="Poi",
        round="Giro",
        rounds="giri",
        of="di",
        easier="Più facile",
        caution=(
            "Fermati in caso di dolore, capogiri, fastidio al petto o affanno insolito, e chiedi aiuto medico se non "
            "passa. In gravidanza, dopo un infortunio, in caso di malattia o se sei alle prime armi, senti prima un "
            "medico o un istruttore qualificato. Tieni libero il pavimento e nel dubbio scegli la versione più facile."
        ),
        sheet=Sheet(
            "Elenco inquadrature",
            "Timecode, durata",
            "Che cosa",
            "Lato",
            "Posizione, camera",
            "Attrezzi",
            "Prima frase",
            "Girato",
        ),
    ),
}


def phrases_of(language: str) -> Phrases:
    """The tool's own words in a language (`pt-BR` is served by `pt`).

    Where it has none they are English, and nothing is said aloud.

    >>> phrases_of("de-CH").rest, phrases_of("eu").rest, phrases_of("eu").next_call
    ('Pause', 'Rest', None)
    """
    known = PHRASES.get(language) or PHRASES.get(language.partition("-")[0])
    return known or replace(PHRASES["en"], next_call=None, last_call=None)


def phrases_for(session: Session, language: str) -> Phrases:
    """The words for a class: what the plan writes in this language, and the tool's own for the rest."""
    calls = session.calls
    written = {key: getattr(session.words, key) for key in session.words.model_fields_set}
    written |= {"next_call": calls.next, "last_call": calls.last, "caution": session.caution}
    own: dict[str, str | None] = {}
    for key, text in written.items():
        words = text.find(language, main=session.main_language) if text is not None else None
        if words is not None:
            own[key] = words
    for key, is_said in (("next_call", calls.says_next()), ("last_call", calls.says_last())):
        if not is_said:
            own[key] = None
    return replace(phrases_of(language), **own)  # type: ignore[arg-type]  # only calls may be None
