// Types named in the comments of the script's functions, for readers and the type checker.

type Value = number | string;

/** A number reading [SI], its half-width, and the text as typed. */
interface Measured { value: number; half: number; text: string }

/** Readings of one state of the loop, by key; `odd`: keys of readings that this loop does not have. */
interface Readings { numbers: Record<string, Measured>; words: Record<string, string> }
interface State extends Readings { odd: string[]; under_way?: State | null }
interface Step extends State { did: string; saw: string }

/** A call in the form that the arithmetic takes. */
interface Call extends State { said: string[]; tools: string[] | null; steps: Step[]; under_way: State | null; left: boolean }

/** A call as the phone stores it: texts by key, and the state of the screens. */
interface Kept {
  who: string; where: string; date: string; note: string; parts: string;
  said: string[]; tools: string[]; read: Record<string, string>; under_way: Record<string, string>;
  steps: { did: string; saw: string; read: Record<string, string>; under_way?: Record<string, string> }[];
  bucket: string; runs: Record<string, number[]>; units: Record<string, string>; view: string;
}

/** Texts of a reading or an action. */
interface Said { title: string; ask?: string; minutes: number; tool?: string; hazard: string; how: string }

/** A reading that is a number: loop/diagnose/tables.py and loop/card/tables.py. */
interface Column extends Said {
  key: string; scale: number; need: number | null; absolute: number; relative: number; temper: number; low: number; high: number;
  quantity: string; measure: string; example: string;
}

/** A reading that is a word; `chance` (h, choices). */
interface Word extends Said { key: string; choices: string[]; also: Record<string, string[]>; chance: Float32Array }

/**
 * An action, with its two names in a readings file; `first` (h,), `cure` (h, 2), `cures` after each answer; `looks`: the reading
 * that it repeats; `after`: its prerequisites; `leaves`: faults that it quiets but does not cure; `renews`: kinds of readings
 * that its first answer makes void; `here`: whether this loop has the parts for it.
 */
interface Action extends Said { name: string; in_files: string; cost: number; answers: string[]; answers_also: Record<string, string>; looks: string; after: string[]; for_lead: string[]; earlier: string[]; shown_by: string[]; unless: string[]; again_after: string[]; said: string[]; leaves: string[]; renews: string[]; twice: boolean; here: boolean; drastic: boolean; least_cure: number; opens: boolean; risks: boolean; cures_of: Record<string, number>; first: Float32Array; cure: number[]; cures: number[][] }

/** A fault or a pair of faults, with places. */
interface Instance {
  fault: string; where: string; faults: string[]; places: string[]; title: string; called: string;
  severity: string[]; quantity: string[]; range: [number, number][]; behind: number; known: boolean;
  fix: string; look: string; cautions: string[];
}

/** What every row reads in one state of the boat: mean, noise (h, c); factor (h, c, k). */
interface Predictions { mean: Float32Array; noise: Float32Array; factor: Float32Array; words: Word[] }

/** The card's tables, prepared: h hypotheses, c readings, k factors. */
interface Study extends Predictions {
  h: number; c: number; k: number;
  columns: Column[]; actions: Action[]; instances: Instance[]; under_way: Study;
  rows: {
    owner: number[]; severity: number[][]; weight: number[]; after: [number, number][]; sea_set: boolean[];
    healthy: number; single: number; troubles: number[];
  };
  said_also: Record<string, string>; tools_also: Record<string, string>; first: [string, string, string[]][]; sent_for: [string, string, string[]][];
  at_speed: (Said & { key: string; of: string; said: string[]; choices: string[] }) | null;
  statements: { text: string; chance: number[]; here: boolean }[];
  causes: number[]; slot: number[][]; cell: [number, number][][]; rowsOf: number[][];
  at: Map<string, number>; wordAt: Map<string, number>;
  shows: Float32Array; unknown: number; known: boolean;
  ruled_out: [string, string, string[]][]; ruled_out_by_any: [string, string, string[]][]; ruled_out_by_both: [string, [string, string[]][]][]; of_the_day: string[]; cautions: string[]; notes: string[];
  tools: string[]; beside: string[]; faults: string[]; kinds: Record<string, { per_unit: boolean; word: boolean }>; unit_names: string[];
  units: string; spellings: Spellings; shown: Record<string, Shown>; digits: Record<string, number>; says: Record<string, string>;
  as_built: string; checked: string[]; keeps_air: boolean; heading: string; identity: string; colophon: string;
  constants: any;
}

/** How to read a quantity's text: units by kind, kinds that are ratios of others, patterns with their replacements. */
interface Spellings {
  scales: Record<string, Record<string, [number, number]>>; over: Record<string, [string, string]>;
  rules: [string, string][]; rules_of: Record<string, [string, string][]>;
  quantity: string; clock: string; in_turn: string; thousands: string; signs: Record<string, string>; fractions: Record<string, string>;
}
interface Shown { label: string; decimals: number; scale: number; offset: number }

/** n rows of a belief: original row, current row, log weight, mean and covariance of its factors. */
interface Belief {
  n: number; origin: Int32Array; now: Int32Array; log: Float64Array; spread: Float64Array; x: Float64Array; far: Float64Array;
  since: Int32Array;
}
interface Found { b: Belief; last: Record<string, any>; weight: Float64Array; byRow: Float64Array; probability: Float64Array }
/** Readings that still hold. */
interface Standing { keys: Set<string>; words: Record<string, string> }
interface Heavy { rows: number[]; weight: number[] }

/** The probabilities of a call, without next steps. */
interface Odd {
  call: Call; found: Found; heavy: Heavy; order: number[]; unknown: number; fixed: number; runs: number; by: number; fixed_by: string; left: string; mended: number; still_wrong: string; better: number; hums: boolean; well: boolean; water_is_right: boolean;
  healthy: Record<string, Value>; healthy_under_way: Record<string, Value>; contradiction: string[]; holding: Readings;
}

/** How a call that is over for now ends, or what it still asks for: loop/diagnose/ends.py. */
interface End { over: boolean; unread: string; left: string; recurs: boolean; unknown: string; watch: string; goes_on: boolean; asks: Gain[]; done: boolean }
/** What shows why something failed, after a step that only restored operation. */
interface Then { wants: string[][]; unknown: string; watch: string; told: string[]; only: string; well: string; again: string[][] }

/** Deviation of a number from each row's prediction, and its variance there. */
interface OffRows { column: number; off: Float64Array; variance: Float64Array }

/** A remaining step and its worth; as text, with what to expect of it. */
interface Gain { reading: string; kind: string; gain: number; minutes: number; cost: number; cure: number; fetched?: boolean }
interface NextStep extends Gain { title: string; hazard: string; how: string; answers: string[]; expected: Record<string, Value> }

/** One cause, with the keys of `loop diagnose --json`. */
interface Cause {
  fault: string; where: string; title: string; probability: number; present: number;
  severity: number; severity_low: number; severity_high: number; severity_words: string;
  predicted: Record<string, Value>; predicted_under_way: Record<string, Value>; why: string; fix: string; look: string;
  flow_fixed: number; flow_fixed_low: number; flow_fixed_high: number; cautions: string[];
}

/** Part of the page, and how to update it. */
interface Field { root: HTMLElement; update: () => void }

interface Window { loopCard: { diagnose: (readings: Record<string, unknown>) => unknown } }
