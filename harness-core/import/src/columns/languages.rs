//! Headings in other languages than English and what each may mean: German, French, Italian, Spanish, Dutch, Swedish (common practice, no
//! source).

use super::Meaning::{
    self, Cable, Colour, Core, From, FromPin, Fuse, Housing, Key, Loom, Note, Number, Pin, Plug, Protects, Rating, Screen,
    Signal, State, Stripe, To, ToPin, Twist,
};

/// In plain form, with bars between them, as those in English.
pub(super) const HEADINGS: &[(&str, &[Meaning])] = &[
    (
        "leitungsnr|leitungsnummer|leitung nr|leitungs nr|lfd nr|adr nr|draht nr|drahtnummer|kabelnummer|nummer|repère|repere|rep|numéro|\
         numero|n|fil n|n fil|n° fil|fil|filo|filo n|n filo|num|número|n cable|hilo|n hilo|draad|draadnummer|draadnr|ledningsnr|ledning|\
         leitung|draht|ader nummer|stromkreis nr",
        &[Number],
    ),
    (
        "von|von stecker|von gerät|von geraet|quelle|startpunkt|anfang|départ|depart|de|origine|da|partenza|desde|origen|van|från|fran|\
         stecker von|stecker 1|stecker a|connecteur départ|connecteur 1|connettore 1|connettore da|conector 1|conector origen|seite 1|seite a",
        &[From],
    ),
    (
        "nach|nach stecker|nach gerät|nach geraet|ziel|endpunkt|ende|arrivée|arrivee|vers|à|destination|destinazione|verso|va a|hasta|\
         destino|naar|till|stecker nach|stecker 2|stecker b|connecteur arrivée|connecteur 2|connettore 2|connettore a|conector 2|\
         conector destino|seite 2|seite b",
        &[To],
    ),
    (
        "von pin|pin von|von kontakt|von klemme|von kammer|kammer von|von stecker pin|von anschluss|de broche|broche départ|voie départ|\
         borne départ|da pin|pin da|desde pin|pin origen|van pin|från pin",
        &[FromPin],
    ),
    (
        "nach pin|pin nach|nach kontakt|nach klemme|nach kammer|kammer nach|nach anschluss|vers broche|broche arrivée|voie arrivée|\
         borne arrivée|a pin|pin a destinazione|hasta pin|pin destino|naar pin|till pin",
        &[ToPin],
    ),
    (
        "querschnitt|leiterquerschnitt|leitungsquerschnitt|aderquerschnitt|section|section fil|sezione|sezione filo|sección|seccion|\
         doorsnede|draaddoorsnede|area|tvärsnitt|kabelarea|calibre",
        &[Meaning::Size(None)],
    ),
    (
        "farbe|aderfarbe|leitungsfarbe|kabelfarbe|couleur|couleur fil|colore|colore filo|color|kleur|draadkleur|färg|grundfarbe",
        &[Colour],
    ),
    ("kennfarbe|zweitfarbe|streifen|filet|bande|riga|raya|franja|streep", &[Stripe]),
    (
        "länge|laenge|leitungslänge|schnittlänge|longueur|long|lunghezza|longitud|lengte|längd|kabellänge",
        &[Meaning::Length(None)],
    ),
    (
        "funktion|signal|signalname|bezeichnung|benennung|verwendung|stromkreis|potential|fonction|désignation|libellé|circuit|segnale|funzione|\
         descrizione|señal|función|descripción|functie|signaal|omschrijving|funktion signal|beskrivning",
        &[Signal],
    ),
    ("zustand|status|stand|belegung|état|etat|stato|estado|toestand", &[State]),
    ("sicherung|sicherung nr|fusible|fusibile|zekering|säkring", &[Fuse, Rating]),
    ("nennstrom|sicherungswert|sicherungsgröße|ampere|calibre fusible|portata|amperaje|valor fusible", &[Rating]),
    ("abgesicherte leitung|schützt|protège|protegge|protege|beveiligt", &[Protects]),
    ("kabelbaum|kabelsatz|leitungssatz|strang|faisceau|cablaggio|mazo|kabelboom|kablage", &[Loom]),
    (
        "stecker|steckverbinder|steckername|gerät|geraet|bauteil|komponente|connecteur|fiche|appareil|organe|connettore|componente|\
         conector|aparato|stekker|connector|component|kontaktdon|don",
        &[Plug],
    ),
    (
        "kammer|kontakt|kontakt nr|klemme|anschluss|pin nr|polzahl pin|broche|voie|borne|alvéole|contatto|morsetto|polo|pos|terminal|borne n|\
         contacto|patilla|klem|aansluiting|stift|klämma",
        &[Pin],
    ),
    ("gehäuse|gehaeuse|steckertyp|gehäusetyp|boîtier|référence|alloggiamento|carcasa|behuizing|hus", &[Housing]),
    ("kodierung|codierung|détrompeur|detrompeur|codifica|codificación|codering", &[Key]),
    ("verdrillt|verdrillt mit|torsadé|intrecciato|trenzado|getwist|tvinnad", &[Twist]),
    ("kabel nr|kabelbezeichnung|câble|cavo|cable n", &[Cable]),
    ("ader|ader nr|adernummer|conducteur|conduttore|conductor|ader nummer", &[Core]),
    ("schirm|abschirmung|geschirmt|blindage|blindé|schermo|schermato|pantalla|apantallado|afscherming|skärm", &[Screen]),
    (
        "bemerkung|bemerkungen|anmerkung|hinweis|notiz|kommentar|remarque|remarques|observation|observations|commentaire|nota|note|\
         osservazioni|commenti|notas|observaciones|comentarios|opmerking|opmerkingen|anmärkning|anteckning|kommentarer",
        &[Note],
    ),
];
