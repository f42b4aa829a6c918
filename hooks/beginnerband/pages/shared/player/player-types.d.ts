/** Music as a value, as render/sound.py writes it; plan.js says more of each member. */
interface Music {
  a4: number;
  speed: number;
  tempos?: [from: number, speed: number][];
  beat: number;
  beats: number;
  pickup: number;
  parts: { name: string; tone?: Tone; line?: string; own?: boolean; notes: MusicNote[] }[];
}

/** Onset and length in quarter notes; what sounds; the numbers of the picture's notes that stand for it. */
type MusicNote = [onset: number, length: number, sound: number | Drum, numbers?: number[]];

/** An instrument's formant in hertz, or a bar that is struck. */
type Tone = number | "bar";

type Drum = "snare" | "bass-drum" | "cymbal";

/** One sound with its time: seconds from the start. */
interface Planned {
  at: number;
  seconds: number;
  sound: number | Drum;
  notes: number[];
  part: number;
  tone?: Tone;
}

interface Plan {
  clicks: { at: number; accent: boolean }[];
  events: Planned[];
  start: number;
  end: number;
  until(quarter: number): number;
  quarterAt(passed: number): number;
}

interface PlanOptions {
  speed?: number;
  countIn?: boolean;
  from?: number;
}

/** Quarter notes at which bars to repeat begin and end. */
interface Loop {
  from: number;
  to: number;
}

/** One playing of a plan. */
interface Run {
  ctx: AudioContext;
  /** Made when it begins, as `outs` are. */
  master: GainNode | null;
  outs: GainNode[];
  planned: Plan;
  at: number;
  next: number;
  from: number;
  timer: number;
  frame: number;
  /** The bars to repeat, the time before, which may still sound. */
  before: Run | null;
}

/** Something to hear, as the bar takes it. */
interface Track {
  music: Music;
  name: string;
  player: any;
  /** Whether the page has its picture, in which bars can be tapped. */
  shown: boolean;
  mark(loop: Loop | null): void;
}

/** What the player's scripts share; each adds its own part. */
interface BandSound {
  hz(midi: number, a4?: number): number;
  context(): AudioContext | null;
  mixer(ctx: BaseAudioContext, parts: number): GainNode;
  begin(
    ctx: BaseAudioContext,
    out: AudioNode,
    midi: number,
    at: number,
    a4?: number,
    formant?: number,
  ): { source: OscillatorNode; gain: GainNode; speaks: number };
  tone(
    ctx: BaseAudioContext,
    out: AudioNode,
    midi: number,
    at: number,
    seconds: number,
    a4?: number,
    formant?: number,
  ): OscillatorNode;
  click(ctx: BaseAudioContext, out: AudioNode, at: number, accent: boolean): AudioScheduledSourceNode;
  sounded(
    ctx: BaseAudioContext,
    out: AudioNode,
    event: Pick<Planned, "seconds" | "sound" | "tone">,
    at: number,
    a4?: number,
  ): AudioScheduledSourceNode[];
  plan(music: Music, options?: PlanOptions): Plan;
  render(music: Music, options: PlanOptions | undefined, rate: number): Promise<AudioBuffer>;
  [more: string]: any;
}

/** What is struck: partials, and noise above a frequency, each with its level as it begins and the seconds until it is
 * 60 dB less. Hertz. */
interface Struck {
  modes: { frequency: number; seconds: number; level: number }[];
  hisses: { lowest: number; seconds: number; level: number }[];
}

/** What an instrument's sound is made of, timbre.js. */
interface BandTimbre {
  weight(frequency: number): number;
  loudness(amplitudes: number[], frequency: number): number;
  brass(frequency: number, formant: number, level: number, effort?: number): number[];
  bar(frequency: number, level: number): Struck;
  drum(name: Drum, level: number): Struck;
  phases(count: number): number[];
}

interface BandAwake {
  keep(who: unknown): void;
  letGo(who: unknown): void;
  said(say: (words: string) => void): void;
}

interface Window {
  bandAwake: BandAwake;
  bandSound: BandSound;
  bandTimbre: BandTimbre;
  webkitAudioContext?: typeof AudioContext;
}
