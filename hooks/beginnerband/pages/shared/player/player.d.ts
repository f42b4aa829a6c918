/** Music as a value, as render/sound.py writes it; plan.js says more of each member. */
interface Music {
  a4: number;
  speed: number;
  beat: number;
  beats: number;
  pickup: number;
  parts: { name: string; notes: MusicNote[] }[];
}

/** Onset and length in quarter notes; what sounds; the numbers of the picture's notes that stand for it. */
type MusicNote = [onset: number, length: number, sound: number | Drum, numbers?: number[]];

type Drum = "snare" | "bass-drum" | "cymbal";

/** One sound with its time: seconds from the start. */
interface Planned {
  at: number;
  seconds: number;
  sound: number | Drum;
  notes: number[];
  part: number;
}

interface Plan {
  clicks: { at: number; accent: boolean }[];
  events: Planned[];
  start: number;
  end: number;
  quarter: number;
}

interface PlanOptions {
  speed?: number;
  countIn?: boolean;
  from?: number;
}

/** What the player's scripts share; each adds its own part. */
interface BandSound {
  context(): AudioContext | null;
  click(ctx: BaseAudioContext, out: AudioNode, at: number, accent: boolean): void;
  sounded(ctx: BaseAudioContext, out: AudioNode, one: Pick<Planned, "seconds" | "sound">, at: number, a4: number): void;
  plan(music: Music, options?: PlanOptions): Plan;
  render(music: Music, options: PlanOptions | undefined, rate: number): Promise<AudioBuffer>;
  [more: string]: any;
}

interface Window {
  bandSound: BandSound;
  webkitAudioContext?: typeof AudioContext;
}
