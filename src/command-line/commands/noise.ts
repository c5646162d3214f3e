import {
  describeNoise,
  LapbenchError,
  noiseOfFiles,
  type NamedFile,
  type SoundChannel,
} from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';
import { numberOption } from '../number-option.ts';
import { progressOn } from '../progress.ts';

export interface NoiseOptions {
  wheel?: string;
  plucks?: string[];
  plucksUnder?: string[];
  spokes?: string;
  tensions?: string;
  ride?: string;
  starts?: string;
  zone?: string;
  circumference?: string;
  brakeTorque?: string;
  rotorSlots?: string;
  treadBlocks?: string;
  channel?: string;
  json?: boolean;
}

/** `lapbench noise ride.wav --wheel wheel.yaml --plucks plucks.wav`: nothing is stored. */
export async function noise(io: Io, sound: string, options: NoiseOptions): Promise<void> {
  const named = (name: string): NamedFile => ({ location: fromHere(io, name), name });
  const maybe = (name: string | undefined) => (name === undefined ? null : named(name));
  const number = (name: string, given: string | undefined, unit: string) =>
    given === undefined ? null : numberOption(name, given, { above: 0, unit });
  const plucks = [
    ...(options.plucks ?? []).map((name) => ({ ...named(name), brakeTorqueNm: 0 })),
    ...(options.plucksUnder ?? []).map((given) => {
      const { brakeTorqueNm, name } = underTorque(given);
      return { ...named(name), brakeTorqueNm };
    }),
  ];
  onlyWith('--spokes', options.spokes, plucks.length > 0, 'Give --plucks as well.');
  for (const name of ['starts', 'zone', 'circumference'] as const)
    onlyWith(`--${name}`, options[name], options.ride !== undefined, 'Give --ride as well.');
  const files = {
    sound: named(sound),
    plucks,
    spokes: options.spokes === undefined ? null : spokesOf(options.spokes),
    wheel: maybe(options.wheel),
    tensions: maybe(options.tensions),
    ride: maybe(options.ride),
    place: {
      startS: options.starts === undefined ? null : startOf(options.starts),
      zoneMinutes: options.zone === undefined ? null : zoneOf(options.zone),
      circumferenceM: circumferenceOf(options.circumference),
    },
    brakeTorqueNm: number('--brake-torque', options.brakeTorque, 'newton metres'),
    rotorSlots: countOf('--rotor-slots', options.rotorSlots),
    treadBlocks: countOf('--tread-blocks', options.treadBlocks),
    channel: channelOf(options.channel),
  };
  const progress = progressOn(io);
  try {
    const finding = await noiseOfFiles(files, progress.show);
    progress.end();
    io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeNoise(finding));
  } finally {
    progress.end();
  }
}

/** `40:locked.wav` */
function underTorque(given: string): { brakeTorqueNm: number; name: string } {
  const at = given.indexOf(':');
  const torque = at < 0 ? NaN : Number(given.slice(0, at).trim() || NaN);
  const name = given.slice(at + 1);
  if (at > 0 && Number.isFinite(torque) && name !== '') return { brakeTorqueNm: torque, name };
  return refuse(
    '--plucks-under',
    given,
    'Write the torque on the hub in newton metres and the file: --plucks-under 31.4:locked.wav.',
  );
}

function spokesOf(given: string): number[] {
  const spokes = given.split(',').map((part) => (part.trim() === '' ? NaN : Number(part)));
  if (spokes.every((spoke) => Number.isInteger(spoke) && spoke >= 1 && spoke <= 200)) return spokes;
  return refuse('--spokes', given, 'Write their numbers in the order plucked: --spokes 1,3,5.');
}

/** `12:30`, `0:12:30` or `750`, seconds. */
function startOf(given: string): number {
  const signed = /^(-?)(?:(?:(\d+):)?(\d+):)?(\d+(?:\.\d+)?)$/.exec(given.trim());
  if (signed) {
    const [, minus, h = '0', m = '0', s] = signed;
    const seconds = 3600 * Number(h) + 60 * Number(m) + Number(s);
    return minus === '' ? seconds : -seconds;
  }
  return refuse(
    '--starts',
    given,
    'Write where in the ride the sound begins, h:mm:ss: --starts 0:12:30.',
  );
}

/** `+02:00`, `-5`, `Z`: minutes ahead of UTC. */
function zoneOf(given: string): number {
  const zone = /^(?:Z|UTC)?(?:([+-])(\d{1,2})(?::?([0-5]\d))?)?$/i.exec(given.trim());
  if (zone && given.trim() !== '') {
    const [, sign, h = '0', m = '0'] = zone;
    const minutes = 60 * Number(h) + Number(m);
    if (minutes <= 14 * 60) return sign === '-' ? -minutes : minutes;
  }
  return refuse('--zone', given, 'Write how far its clock is ahead of UTC: --zone +02:00.');
}

function circumferenceOf(given: string | undefined): number | null {
  if (given === undefined) return null;
  const metres = numberOption('--circumference', given, { above: 0, unit: 'metres' });
  if (metres >= 0.5 && metres <= 3.5) return metres;
  return refuse('--circumference', given, 'Give metres that the wheel rolls in one turn: 2.13.');
}

function countOf(name: string, given: string | undefined): number | null {
  if (given === undefined) return null;
  const count = numberOption(name, given, { least: 1, unit: 'pieces round the wheel' });
  return Number.isInteger(count) ? count : refuse(name, given, 'Give a whole number.');
}

function channelOf(given: string | undefined): SoundChannel {
  if (given === undefined || given === 'mix') return 'mix';
  const channel = Number(given);
  if (Number.isInteger(channel) && channel >= 1) return channel;
  return refuse('--channel', given, 'Write --channel 1, or --channel mix for the mean of all.');
}

function onlyWith(name: string, given: string | undefined, there: boolean, remedy: string): void {
  if (given === undefined || there) return;
  throw new LapbenchError({
    code: 'usage',
    message: `${name} is given without what it is about.`,
    remedy,
  });
}

function refuse(name: string, given: string, remedy: string): never {
  throw new LapbenchError({
    code: 'usage',
    message: `${name} is ${JSON.stringify(given)}.`,
    remedy,
  });
}
