// What the desk answers; the names are those of its JSON.

export interface Head { name: string; call: string; position: string; now: string; still: boolean; stations: number; sunset?: string; sunrise?: string }
export interface Fallback { station: string; mhz: number; waveform: string; heading_deg: number; connect_probability: number; expected_bytes: number; because: string }
export interface Call {
  start: string; minutes: number; at_most_minutes: number; station: string; mhz: number; waveform: string;
  heading_deg: number; distance_km: number; connect_probability: number; expected_bytes: number; energy_wh: number;
  messages: string[]; fallbacks: Fallback[]; why: string;
}
export interface Bound { id: string; precedence: string; subject: string; bytes_on_air: number; deadline: string | null; probability_in_time: number; by?: string; note?: string }
export interface Index {
  at: string; ig12: number; r12: number; standard_error: number; table: Opinion; heard: Opinion | null;
  a: number | null; k: number | null; why: string; note?: string; noise: string; bulletins: { at: string; flux: number | null; a: number | null; k: number | null }[];
}
export interface Opinion { ig12: number; r12: number; standard_error: number; source: string }
export interface Plan {
  at: string; horizon_h: number; sentence: string; calls: Call[]; messages: Bound[]; battery: { at: string; wh: number }[];
  excluded: { station: string; mhz: number; reason: string }[]; notes: string[]; index: Index;
  bearer?: { at: string; bearer: string; message: string; price: number }[];
}
export interface Shape { k: string; c: string; p: [number, number][]; t?: string; a?: string }
export interface Row { station: string; mhz: number; y: number; chance: number[]; best?: number[] }
export interface Picture { w: number; h: number; x0: number; x1: number; top: number; bottom: number; from: string; to: string; now: string; shapes: Shape[]; rows: Row[]; first: string; slot_s: number }
export interface Bearing { station: string; true: number; compass: number; km: number }
export interface Watch { head: Head; plan: Plan; focus: string; stations: string[]; bearings: Bearing[]; give_up: string | null; picture: Picture; near: boolean; calling?: Calling }
export interface Calling { call: Call; began: string; tries: number; try_s: number; draw_w: number; elapsed_s: number }
export interface Direction { mode: string; elevation_deg: number; signal_dbw: number; noise_dbw: number; snr_db: number; ground_dbw?: number }
export interface Cell {
  station: string; mhz: number; at: string; open: boolean; excluded?: string; waveform: string; basic_muf_mhz: number; operational_muf_mhz: number; owf_mhz: number;
  out: Direction; in: Direction; fading?: string; sky_probability: number; presence: number; bytes_per_minute: number;
}
export interface Why {
  call: Call; basic_muf_mhz: number; operational_muf_mhz: number; owf_mhz: number; out: Direction; in: Direction; fading?: string; presence: number;
  states: { state: string; belief: number; connect_probability: number; bytes_per_minute: number }[];
  setup_minutes: number; give_up_minutes: number; value: number; rest_value: number;
  alternatives: { station: string; mhz: number; value: number; connect_probability: number; bytes_per_minute: number }[]; index: Index;
}
export interface Letter { id: string; state: string; precedence: string; rank?: number; deadline: string | null; bytes_on_air: number; from: string[]; to: string[]; subject: string; queued_at: string; attachments: { name: string; type: string; bytes: number; picture: boolean }[] }
export interface Shown extends Letter { bytes_low: number; bytes_high: number; warnings?: string[]; text: string }
export interface Traffic { head: Head; letters: Letter[]; plan: Plan; bytes_per_minute: number; cuts: Record<string, Cut>; worth: Record<string, number> }
export interface Cut { budget: number; bytes_on_air: number; minutes: number; probability_in_time: number; value_gained: number }
export interface Added extends Letter { source: string; new: boolean; same_as?: string; warnings?: string[] }
export interface Version { budget: number; width: number; height: number; quality: number; fidelity_db: number; bytes_on_air: number; minutes: number; probability_in_time: number; value_gained: number }
export interface Pictures { message: Letter; picture: string; bytes: number; minutes: number; versions: Version[] }
export interface Channel { mhz: number; waveforms: string[]; open: boolean; connect_probability: number; bytes_per_minute: number; excluded?: string }
export interface Station { station: string; id: string; call: string; position: string; lat_deg: number; lon_deg: number; heading_deg: number; compass_deg: number; distance_km: number; carries: string[]; hours: string; channels: Channel[]; note?: string }
export interface Stations { head: Head; home: [number, number]; sun: [number, number]; stations: Station[]; calls: Call[]; heard: Record<string, LogLine>; tides: Record<string, number[]>; tide_from: string }
export interface StationPage { head: Head; log: LogLine[] }
export interface Window { mhz: number; waveform: string; opens: string; peaks: string; shuts: string; connect_probability: number; bytes_per_minute: number }
export interface Windows { at: string; stations: { station: string; heading_deg: number; distance_km: number; days: { day: string; windows: Window[] }[] }[] }
export interface Conditions { head: Head; index: Index; measured: { text: string; level_dbm: number; meter: boolean }[] }
export interface LogLine {
  no: number; id: string; at: string; kind: string; station: string; mhz: number; waveform: string; outcome: string; bytes_out: number; bytes_in: number;
  minutes: number; delivered: string[]; promised_probability: number | null; promised_bytes: number | null; struck?: string; remark?: string; line: string;
}
export interface Logged extends LogLine { left_queue: string[]; hint?: string }
export interface Log { head: Head; lines: LogLine[]; stations: string[] }
export interface FaultLine { file: string; line: number; field: string; problem: string; hint: string; severity: string }
export interface Field { path: string; group: string; label: string; value: string; unit?: string; choice?: string[]; line?: number }
export interface Drawing { kind: string; mhz: number; maximum_dbi: number; loss_db: number; notes: string[]; elevation_cut: { elevation_deg: number; gain_dbi: number }[] }
export interface Home { head: Head; form: { path: string; version: string; antenna: string; fields: Field[] }; permits: string[]; patterns: Drawing[]; toward: string }
export interface Trial { faults: FaultLine[]; picture?: Picture; patterns?: Drawing[]; next?: { no: number; station: string; mhz: number; From: number; To: number }[] }
export interface Coast { step: number; rings: number[][] }

// A Trouble is what the desk says instead of an answer.
export class Trouble extends Error {
  constructor(readonly status: number, readonly problem: string[], readonly hint = '', readonly faults: FaultLine[] = [], readonly ask: '' | 'home' | 'station' | 'permit' = '') {
    super(problem.join(' '));
  }
}

async function read<T>(r: Response): Promise<T> {
  const v = await r.json().catch(() => null);
  if (r.ok && v !== null) return v as T;
  throw new Trouble(r.status, v?.problem ?? ['The desk gave no answer.'], v?.hint, v?.faults ?? [], v?.ask ?? '');
}

export async function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  let r: Response;
  try {
    r = await fetch(path, { signal });
  } catch (e) {
    if (signal?.aborted) throw e;
    throw new Trouble(0, ['The desk is not answering.'], 'Nothing is lost: the log is on disk. Start farhail serve again.');
  }
  if (r.status === 401) location.reload();
  return read<T>(r);
}

export async function post<T>(path: string, body: unknown): Promise<T> {
  return send<T>(path, JSON.stringify(body), 'application/json');
}

export async function send<T>(path: string, body: BodyInit, kind: string): Promise<T> {
  let r: Response;
  try {
    r = await fetch(path, { method: 'POST', headers: { 'Content-Type': kind }, body });
  } catch {
    throw new Trouble(0, ['The desk is not answering.'], 'Nothing was written. Start farhail serve again, then repeat it.');
  }
  return read<T>(r);
}
