//! The phrases the reader knows, by language: what a sentence may look like, and what the words
//! in it mean. Written by hand from the glossary, apart from the program's own templates.

/// A language as the reader knows it.
pub struct Tongue {
    /// Its code.
    pub code: &'static str,
    /// Kinds of sentences and how they read; `{slot}` stands for a word of that slot.
    pub sentences: &'static [(&'static str, &'static str)],
    /// Slot, words, meaning.
    pub words: &'static [(&'static str, &'static str, &'static str)],
    /// Sentences outside the list of steps: where the first pass goes, the line to hold, loops in
    /// a lane, time, nothing left, trim, missed.
    pub first_pass: &'static str,
    /// Before the hour to aim at.
    pub aim: &'static str,
    /// After the number of loops.
    pub loops_in_lane: &'static str,
    /// Before the time.
    pub time: &'static str,
    /// Nothing is left.
    pub nothing: &'static str,
    /// Before the area of trim.
    pub trim: &'static str,
    /// Before the area missed.
    pub missed: &'static str,
}

/// English.
pub const ENGLISH: Tongue = Tongue {
    code: "en",
    sentences: &[
        ("stop", "Stop here, drive round as you know."),
        ("one_way", "All driven {way}; come back with the reels up."),
        (
            "gap_round",
            "Past {thing}: reels up, go round, on along the same line.",
        ),
        (
            "gap_straight",
            "Past {thing}: reels up, straight on along the same line.",
        ),
        (
            "gap_ring",
            "Past {thing}: reels up, on along the same ring.",
        ),
        (
            "gap_ring",
            "Where a ring breaks off: reels up, drive on to where it goes on.",
        ),
        (
            "gap_round",
            "Where the grass stops: reels up, go round, on along the same line.",
        ),
        (
            "gap_straight",
            "Where the grass stops: reels up, straight on along the same line.",
        ),
        ("patch", "Touch up along {edge}, {n} {short} {pass}."),
        ("patch", "Touch up along {edge}, {n} {pass}."),
        ("patch", "Touch up {inside}, {n} {short} {pass}."),
        ("patch", "Touch up {inside}, {n} {pass}."),
        ("patch", "Touch up beside {thing}, {n} {short} {pass}."),
        ("patch", "Touch up beside {thing}, {n} {pass}."),
        ("places", "Touch up {m} places, {n} {short} {pass} in all."),
        ("places", "Touch up {m} places, {n} {pass} in all."),
        (
            "every",
            "{n} {noun}, {across}, {every}, {times}: begin with {firsts}.",
        ),
        (
            "halves",
            "{n} {noun}: {half} half {way}, {other} half {back}, from the outside in.",
        ),
        ("next", "{n} {noun}, {across}, each next one."),
        ("rings", "{n} {rings}, from the outside in, {sense}."),
        ("rings", "{n} {rings}, from the outside in."),
        ("rings", "{n} {rings}, {sense}."),
        ("rings", "{n} {rings}."),
        ("lanes", "{n} {noun}, {across}."),
        ("one", "{n} {noun}."),
        ("circuit", "{rounds} round {edge}, {sense}."),
        ("circuit", "{rounds} round {edge}."),
        ("circuit", "{rounds} round {thing}, {sense}."),
        ("circuit", "{rounds} round {thing}."),
        ("circuit", "{n} times round {edge}, {sense}."),
        ("circuit", "{n} times round {edge}."),
        ("circuit", "{n} times round {thing}, {sense}."),
        ("circuit", "{n} times round {thing}."),
    ],
    words: &[
        ("next_part", "On the next part of the fairway:", ""),
        ("rounds", "Once", "1"),
        ("rounds", "Twice", "2"),
        ("edge", "the edge", "edge"),
        ("inside", "inside the fairway", "inside"),
        ("short", "short", "short"),
        ("pass", "pass", "1"),
        ("pass", "passes", "2"),
        ("sense", "clockwise", "cw"),
        ("sense", "counterclockwise", "ccw"),
        ("noun", "stripe", "stripe"),
        ("noun", "stripes", "stripe"),
        ("noun", "crossing stripe", "crossing"),
        ("noun", "crossing stripes", "crossing"),
        ("noun", "pass along the bend", "bend"),
        ("noun", "passes along the bend", "bend"),
        ("noun", "lane of loops", "lane"),
        ("noun", "lanes of loops", "lane"),
        ("rings", "ring", "ring"),
        ("rings", "rings", "ring"),
        ("across", "left to right", "right"),
        ("across", "right to left", "left"),
        ("across", "from the bottom up", "up"),
        ("across", "from the top down", "down"),
        ("way", "up", "up"),
        ("way", "down", "down"),
        ("way", "to the right", "right"),
        ("way", "to the left", "left"),
        ("half", "right", "right"),
        ("half", "left", "left"),
        ("half", "upper", "up"),
        ("half", "lower", "down"),
        ("every", "every second", "2"),
        ("every", "every third", "3"),
        ("every", "every fourth", "4"),
        ("every", "every fifth", "5"),
        ("every", "every sixth", "6"),
        ("every", "every seventh", "7"),
        ("every", "every eighth", "8"),
        ("every", "every ninth", "9"),
        ("times", "once over", "1"),
        ("times", "twice over", "2"),
        ("times", "three times over", "3"),
        ("times", "four times over", "4"),
        ("times", "five times over", "5"),
        ("times", "six times over", "6"),
        ("times", "seven times over", "7"),
        ("times", "eight times over", "8"),
        ("times", "nine times over", "9"),
        ("then", "then ", ""),
        ("then_back", "then back from ", ""),
        ("thing", "the bunker", "bunker"),
        ("thing", "the water", "water"),
        ("thing", "the stream", "stream"),
        ("thing", "the wet ground", "wetland"),
        ("thing", "the trees", "trees"),
        ("thing", "the bushes", "scrub"),
        ("thing", "the green", "green"),
        ("thing", "the tee", "tee"),
        ("thing", "the out-of-bounds ground", "out-of-bounds"),
        ("thing", "the path", "path"),
        ("thing", "the ground to keep off", "keep-off"),
        ("thing", "the hatched ground", "other"),
        ("first", "toward the green", "up"),
        ("first", "away from the green", "down"),
        ("hour", "toward ", ""),
    ],
    first_pass: "First pass from START: ",
    aim: "Hold lane 1 straight: aim at ",
    loops_in_lane: " loops in the longest lane",
    time: "Should take ",
    nothing: "Nothing left over.",
    trim: "Left for a small mower: ",
    missed: "Missed: ",
};

/// Spanish.
pub const SPANISH: Tongue = Tongue {
    code: "es",
    sentences: &[
        ("stop", "Pare aquí y dé la vuelta por donde usted sabe."),
        ("one_way", "Todas {way}; regrese con las unidades arriba."),
        (
            "gap_round",
            "Al pasar {thing}: unidades arriba, rodee y siga por la misma línea.",
        ),
        (
            "gap_straight",
            "Al pasar {thing}: unidades arriba, derecho, y siga por la misma línea.",
        ),
        (
            "gap_ring",
            "Al pasar {thing}: unidades arriba, y siga por el mismo anillo.",
        ),
        (
            "gap_ring",
            "Donde un anillo se interrumpe: unidades arriba, siga hasta donde continúa.",
        ),
        (
            "gap_round",
            "Donde se acaba el pasto: unidades arriba, rodee y siga por la misma línea.",
        ),
        (
            "gap_straight",
            "Donde se acaba el pasto: unidades arriba, derecho, y siga por la misma línea.",
        ),
        ("patch", "Retoque por {edge}, {n} {pass} {short}."),
        ("patch", "Retoque por {edge}, {n} {pass}."),
        ("patch", "Retoque {inside}, {n} {pass} {short}."),
        ("patch", "Retoque {inside}, {n} {pass}."),
        ("patch", "Retoque bordeando {thing}, {n} {pass} {short}."),
        ("patch", "Retoque bordeando {thing}, {n} {pass}."),
        (
            "places",
            "Retoque en {m} lugares, {n} {pass} {short} en total.",
        ),
        ("places", "Retoque en {m} lugares, {n} {pass} en total."),
        (
            "every",
            "{n} {noun}, {across}, {every}, {times}: empiece con la {firsts}.",
        ),
        (
            "halves",
            "{n} {noun}: mitad {half} {way}, mitad {other} {back}, de afuera hacia adentro.",
        ),
        ("next", "{n} {noun}, {across}, una tras otra."),
        ("rings", "{n} {rings}, de afuera hacia adentro, {sense}."),
        ("rings", "{n} {rings}, de afuera hacia adentro."),
        ("rings", "{n} {rings}, {sense}."),
        ("rings", "{n} {rings}."),
        ("lanes", "{n} {noun}, {across}."),
        ("one", "{n} {noun}."),
        ("circuit", "{rounds} por {edge}, {sense}."),
        ("circuit", "{rounds} por {edge}."),
        ("circuit", "{rounds} rodeando {thing}, {sense}."),
        ("circuit", "{rounds} rodeando {thing}."),
        ("circuit", "{n} vueltas por {edge}, {sense}."),
        ("circuit", "{n} vueltas por {edge}."),
        ("circuit", "{n} vueltas rodeando {thing}, {sense}."),
        ("circuit", "{n} vueltas rodeando {thing}."),
    ],
    words: &[
        ("next_part", "En la otra parte del fairway:", ""),
        ("rounds", "Una vuelta", "1"),
        ("rounds", "Dos vueltas", "2"),
        ("edge", "el borde", "edge"),
        ("inside", "dentro del fairway", "inside"),
        ("short", "corta", "short"),
        ("short", "cortas", "short"),
        ("pass", "pasada", "1"),
        ("pass", "pasadas", "2"),
        ("sense", "girando a la derecha", "cw"),
        ("sense", "girando a la izquierda", "ccw"),
        ("noun", "franja", "stripe"),
        ("noun", "franjas", "stripe"),
        ("noun", "franja cruzada", "crossing"),
        ("noun", "franjas cruzadas", "crossing"),
        ("noun", "pasada siguiendo la curva", "bend"),
        ("noun", "pasadas siguiendo la curva", "bend"),
        ("noun", "carril de círculos", "lane"),
        ("noun", "carriles de círculos", "lane"),
        ("rings", "anillo", "ring"),
        ("rings", "anillos", "ring"),
        ("across", "de izquierda a derecha", "right"),
        ("across", "de derecha a izquierda", "left"),
        ("across", "de abajo hacia arriba", "up"),
        ("across", "de arriba hacia abajo", "down"),
        ("way", "hacia arriba", "up"),
        ("way", "hacia abajo", "down"),
        ("way", "hacia la derecha", "right"),
        ("way", "hacia la izquierda", "left"),
        ("half", "derecha", "right"),
        ("half", "izquierda", "left"),
        ("half", "de arriba", "up"),
        ("half", "de abajo", "down"),
        ("every", "una sí y una no", "2"),
        ("every", "una de cada tres", "3"),
        ("every", "una de cada cuatro", "4"),
        ("every", "una de cada cinco", "5"),
        ("every", "una de cada seis", "6"),
        ("every", "una de cada siete", "7"),
        ("every", "una de cada ocho", "8"),
        ("every", "una de cada nueve", "9"),
        ("times", "una vez", "1"),
        ("times", "dos veces", "2"),
        ("times", "tres veces", "3"),
        ("times", "cuatro veces", "4"),
        ("times", "cinco veces", "5"),
        ("times", "seis veces", "6"),
        ("times", "siete veces", "7"),
        ("times", "ocho veces", "8"),
        ("times", "nueve veces", "9"),
        ("then", "luego la ", ""),
        ("then_back", "luego de regreso desde la ", ""),
        ("thing", "la trampa de arena", "bunker"),
        ("thing", "el agua", "water"),
        ("thing", "el arroyo", "stream"),
        ("thing", "el terreno mojado", "wetland"),
        ("thing", "los árboles", "trees"),
        ("thing", "los arbustos", "scrub"),
        ("thing", "el green", "green"),
        ("thing", "el tee", "tee"),
        ("thing", "la zona fuera de límites", "out-of-bounds"),
        ("thing", "el camino", "path"),
        ("thing", "la zona cerrada", "keep-off"),
        ("thing", "la zona rayada", "other"),
        ("first", "hacia el green", "up"),
        ("first", "alejándose del green", "down"),
        ("hour", "hacia ", ""),
    ],
    first_pass: "Primera pasada desde INICIO: ",
    aim: "Carril 1, recto: apunte a ",
    loops_in_lane: " círculos en el carril más largo",
    time: "Debe tomar ",
    nothing: "No queda nada.",
    trim: "Queda para la podadora chica: ",
    missed: "Sin cortar: ",
};

/// A sentence as the reader understands it: its kind, and the meaning of each slot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sentence {
    /// Its kind.
    pub kind: &'static str,
    /// Slots and meanings.
    pub slots: Vec<(String, String)>,
}

impl Sentence {
    /// The meaning of a slot, if the sentence has it.
    pub fn slot(&self, name: &str) -> Option<&str> {
        self.slots
            .iter()
            .find(|s| s.0 == name)
            .map(|s| s.1.as_str())
    }

    /// A slot as a number.
    pub fn number(&self, name: &str) -> Option<u64> {
        self.slot(name)?.parse().ok()
    }
}

impl Tongue {
    /// What words mean in a slot. The other half and the way back are said in the same words.
    fn meaning(&self, slot: &str, text: &str) -> Option<String> {
        let slot = match slot {
            "other" => "half",
            "back" => "way",
            s => s,
        };
        match slot {
            "n" | "m" => text.parse::<u64>().ok().map(|n| n.to_string()),
            "firsts" => self.firsts(text),
            _ => self
                .words
                .iter()
                .find(|w| w.0 == slot && w.1 == text)
                .map(|w| w.2.to_string()),
        }
    }

    /// "1, then 2, then back from 9" as "1 2 -9".
    fn firsts(&self, text: &str) -> Option<String> {
        let word = |slot: &str| self.words.iter().find(|w| w.0 == slot).map(|w| w.1);
        let (then, back) = (word("then")?, word("then_back")?);
        let mut out: Vec<String> = Vec::new();
        for (i, item) in text.split(", ").enumerate() {
            let (sign, number) = if i == 0 {
                ("", item)
            } else if let Some(n) = item.strip_prefix(back) {
                ("-", n)
            } else {
                ("", item.strip_prefix(then)?)
            };
            number.parse::<u64>().ok()?;
            out.push(format!("{sign}{number}"));
        }
        Some(out.join(" "))
    }

    /// Reads a sentence; none when it is of no kind the reader knows.
    pub fn read(&self, text: &str) -> Option<Sentence> {
        self.sentences.iter().find_map(|(kind, form)| {
            let mut slots = Vec::new();
            self.fits(form, text, &mut slots)
                .then_some(Sentence { kind, slots })
        })
    }

    /// Whether a text has a form, each slot holding words that mean something there.
    fn fits(&self, form: &str, text: &str, slots: &mut Vec<(String, String)>) -> bool {
        let Some((literal, rest)) = form.split_once('{') else {
            return form == text;
        };
        let Some((slot, after)) = rest.split_once('}') else {
            return false;
        };
        let Some(text) = text.strip_prefix(literal) else {
            return false;
        };
        for end in (1..=text.len()).filter(|e| text.is_char_boundary(*e)) {
            let Some(meaning) = self.meaning(slot, &text[..end]) else {
                continue;
            };
            slots.push((slot.to_string(), meaning));
            if self.fits(after, &text[end..], slots) {
                return true;
            }
            slots.pop();
        }
        false
    }

    /// A row's text in sentences, and whether it begins on another part.
    pub fn sentences_of<'t>(&self, text: &'t str) -> (bool, Vec<&'t str>) {
        let next = self.words.iter().find(|w| w.0 == "next_part");
        let stripped = next.and_then(|w| text.strip_prefix(w.1));
        let mut rest = stripped.unwrap_or(text).trim();
        let mut out = Vec::new();
        while let Some(at) = rest.find(". ") {
            out.push(&rest[..=at]);
            rest = rest[at + 2..].trim_start();
        }
        if !rest.is_empty() {
            out.push(rest);
        }
        (stripped.is_some(), out)
    }
}
