/**
 * `lapbench …`: one file for each command in commands/, loaded only when it is called, so that
 * `lapbench drag` does not wait for a server it does not need.
 */
import { Command, CommanderError } from 'commander';
import { describeProblem, LapbenchError } from '../application/index.ts';
import { processIo, type At, type Io } from './io.ts';

/** 0 done, 2 bad input or usage, 1 our fault. */
export type ExitCode = 0 | 1 | 2;

/** Runs one command. Answers its exit code; a failing command writes nothing to `io.out`. */
export async function main(argv: string[], io: Io = processIo()): Promise<ExitCode> {
  let written = '';
  // Held back until the command is through: bad input must leave standard output empty.
  const held: Io = { ...io, out: (text) => (written += text) };
  const live: Io = { ...io, out: (text) => (io.out(written + text), (written = '')) };
  try {
    await programOf(held, live).parseAsync(argv, { from: 'user' });
    if (written !== '') io.out(written);
    return 0;
  } catch (error) {
    return failed(error, written, io);
  }
}

function failed(error: unknown, written: string, io: Io): ExitCode {
  if (error instanceof CommanderError) {
    if (error.exitCode !== 0) return 2;
    io.out(written);
    return 0;
  }
  if (error instanceof LapbenchError) {
    io.err(`${error.problems.map(describeProblem).join('\n')}\n`);
    return error.problems.some((problem) => problem.code === 'internal') ? 1 : 2;
  }
  const detail = error instanceof Error ? (error.stack ?? error.message) : String(error);
  io.err(`Lapbench made a mistake; nothing stored is lost. Please report this:\n${detail}\n`);
  return 1;
}

function programOf(io: Io, live: Io): Command {
  const program = new Command('lapbench')
    .description('Field drag from real ride files to a ranked finding with honest intervals.')
    .option('--library <file>', 'the library to use (or LAPBENCH_LIBRARY)')
    .exitOverride()
    .configureOutput({ writeOut: io.out, writeErr: io.err })
    .showHelpAfterError('(lapbench --help lists the commands.)')
    .configureHelp({ showGlobalOptions: true });

  program
    .command('drag')
    .description('reduce a day sheet and the recordings beside it; print the finding')
    .argument('<sheet>', 'the day sheet, YAML or JSON')
    .option('--json', 'the finding as JSON')
    .option('--residuals', 'with the residual checks (and, in JSON, every row)')
    .action(async (sheet, options) =>
      (await import('./commands/drag.ts')).drag(io, sheet, options),
    );
  program
    .command('stiffness')
    .description('lateral stiffness and slop from bench readings of load and deflection')
    .argument('<readings>', 'CSV: remount, position_deg, direction, load_n, deflection_mm')
    .option('--preload <N>', 'load that takes up the slop, newtons', '30')
    .option('--load <N>', 'load hung on top of it, newtons', '196.1')
    .option('--load-unit <unit>', 'what load_n holds, N or kg, where that is in doubt')
    .option('--json', 'the finding as JSON')
    .action(async (readings, options) =>
      (await import('./commands/stiffness.ts')).stiffness(io, readings, options),
    );
  program
    .command('tension')
    .description('spoke tensions of both sides, and the fewest nipple turns that even them')
    .argument('<readings>', 'CSV: spoke, side, reading')
    .option('--as <kind>', 'what was read: tension, gauge or pitch', 'tension')
    .option('--calibration <table>', 'for gauge, CSV: reading, tension_n')
    .option('--spoke-type <name>', 'which kind of spoke, where that table has several')
    .option('--unit <unit>', 'what tensions in readings or table are in: N, kgf or lbf')
    .option('--wheel <sheet>', 'the wheel sheet: for pitch, the ratio of the sides, what to turn')
    .option('--tolerance <percent>', 'of the mean of a side; without it 20, common practice')
    .option('--maximum <N>', 'the maker’s maximum tension, the lower of rim’s and spokes’')
    .option(
      '--known <spoke:N>',
      'for pitch: a spoke of known tension, 3:1100 or with its uncertainty 3:1100:30; may be repeated',
      several,
    )
    .option('--lateral <mm>', 'how far turns may move the rim sideways; without it 0.5')
    .option('--radial <mm>', 'how far turns may move the rim up or down; without it 0.5')
    .option('--json', 'the finding as JSON')
    .action(async (readings, options) =>
      (await import('./commands/tension.ts')).tension(io, readings, options),
    );
  program
    .command('wheel')
    .description('stiffness and spokes of a wheel from its sheet; compare two, fit the rim')
    .argument('<sheet>', 'the wheel sheet, YAML or JSON')
    .option('--compare <sheet>', 'another wheel: what share of the difference each thing makes')
    .option('--fit <N/mm>', 'lateral stiffness from the bench, to fit the rim to')
    .option('--fit-ci95 <low,high>', 'its 95 % interval, carried through to the prediction')
    .option('--side <N>', 'a load to the left at the rim; spokes may go slack')
    .option('--inward <N>', 'a load towards the axle, as the road pushes')
    .option('--brake <N m>', 'torque of the brake disc; drive is below zero')
    .option('--at <spoke>', 'where the load stands; 1.5 is midway from spoke 1 to 2 (default: 1)')
    .option('--influence', 'what one turn of each nipple does to tensions and trueness')
    .option('--json', 'the finding as JSON')
    .action(async (sheet, options) =>
      (await import('./commands/wheel.ts')).wheel(io, sheet, options),
    );
  program
    .command('noise')
    .description('what makes a brake howl: tones of a sound, and the odds of their causes')
    .argument('<sound>', 'the ride as WAV, M4A, MP4 or MOV, MP3, OGG, Opus, FLAC or WebM')
    .option('--wheel <sheet>', 'the wheel sheet: where each spoke sounds under torque')
    .option('--tensions <table>', 'its spokes, CSV: spoke, side, reading (newtons)')
    .option('--plucks <sound>', 'spokes plucked one by one, brake free; may be repeated', several)
    .option(
      '--plucks-under <N m:sound>',
      'the same with the brake locked and that torque on the hub, 31.4:locked.wav; may be repeated',
      several,
    )
    .option('--spokes <numbers>', 'spokes in the order plucked, 1,3,5; without it 1, 2, 3 …')
    .option('--ride <recording>', 'the ride, for the speed of the wheel: FIT, TCX, GPX or CSV')
    .option('--starts <h:mm:ss>', 'where in the ride the sound begins; without it by their clocks')
    .option('--zone <+hh:mm>', 'zone of the sound recorder’s clock, where its file does not say')
    .option('--circumference <m>', 'what the wheel rolls in one turn; without it 2.13 (28-622)')
    .option('--brake-torque <N m>', 'mean torque of the brake while it howled')
    .option('--rotor-slots <count>', 'slots of the rotor that pass in one turn')
    .option('--tread-blocks <count>', 'blocks of the tread that pass in one turn')
    .option('--channel <number>', 'one channel of the sound; without it the mean of all (mix)')
    .option('--json', 'the finding as JSON')
    .action(async (sound, options) =>
      (await import('./commands/noise.ts')).noise(io, sound, options),
    );
  program
    .command('tyres')
    .description('pressures for both tyres from load, width and surface, under hard limits')
    .argument('<sheet>', 'the tyres sheet, YAML or JSON')
    .option('--json', 'the finding as JSON')
    .action(async (sheet, options) =>
      (await import('./commands/tyres.ts')).tyres(io, sheet, options),
    );
  program
    .command('gears')
    .description('ratios, developments and speeds; cadence and power on climbs')
    .argument('[sheet]', 'the gears sheet, YAML or JSON; or give the three options')
    .option('--chainrings <teeth>', 'without a sheet: chainrings, 50,34')
    .option('--cassette <teeth>', 'without a sheet: sprockets, 11,12,13,14,15,17,19,21,24,28,34')
    .option('--tyre <size>', 'without a sheet: designation 28-622, or circumference in mm, 2130')
    .option('--cadence <1/min>', 'without a sheet: cadence of the table of speeds (default: 90)')
    .option('--json', 'the finding as JSON')
    .action(async (sheet, options) =>
      (await import('./commands/gears.ts')).gears(io, sheet, options),
    );
  program
    .command('descent')
    .description('heat of both brakes on a descent, as a band against their limits')
    .argument('<sheet>', 'the descent sheet, YAML or JSON')
    .option('--json', 'the finding as JSON')
    .action(async (sheet, options) =>
      (await import('./commands/descent.ts')).descent(io, sheet, options),
    );
  program
    .command('course')
    .description('the road of a recording: slopes with their error, corners, what was mended')
    .argument('<recording>', 'FIT, TCX, GPX or CSV')
    .option('--laps <n>', 'of one loop ridden several times: so many laps, or all')
    .option('--heights <kind>', 'where they come from: barometer, satellite or map')
    .option('--json', 'as JSON')
    .action(async (recording, options) =>
      (await import('./commands/course.ts')).course(io, recording, options),
    );
  program
    .command('race')
    .description('times of setups on a course, their differences, the plan of power of least time')
    .argument('<sheet>', 'the race sheet, YAML or JSON')
    .option('--json', 'the finding as JSON')
    .action(async (sheet, options) =>
      (await import('./commands/race.ts')).race(io, sheet, options),
    );
  program
    .command('keep')
    .description('store a day: recordings unaltered, sheet and finding')
    .argument('<sheet>', 'the day sheet, YAML or JSON')
    .action(async (sheet, _, command) => (await stored()).keep(at(io, command), sheet));
  program
    .command('days')
    .description('list the days of the library')
    .option('--removed', 'list the removed ones instead')
    .option('--json', 'as JSON')
    .action(async (options, command) => (await stored()).list(at(io, command), options));
  program
    .command('show')
    .description('print the finding of a stored day')
    .argument('<id>', 'as `lapbench days` lists it; its first letters will do')
    .option('--json', 'the finding as JSON')
    .option('--residuals', 'with the residual checks (and, in JSON, every row)')
    .action(async (id, options, command) => (await stored()).show(at(io, command), id, options));
  program
    .command('recompute')
    .description('reduce stored days again with the method of today, and keep the findings')
    .argument('[id]', 'one day')
    .option('--all', 'every kept day')
    .action(async (id, options, command) =>
      (await stored()).recompute(at(io, command), id, options),
    );
  program
    .command('remove')
    .description('take a day out of the library (restore brings it back)')
    .argument('<id>')
    .action(async (id, _, command) => (await stored()).remove(at(io, command), id));
  program
    .command('restore')
    .description('bring a removed day back')
    .argument('<id>')
    .action(async (id, _, command) => (await stored()).restore(at(io, command), id));
  program
    .command('backup')
    .description('write a copy of the whole library')
    .argument('<file>')
    .action(async (file, _, command) => (await stored()).backup(at(io, command), file));
  program
    .command('verify')
    .description('check the library: structure, and every recording against its hash')
    .action(async (_, command) => (await stored()).verify(at(io, command)));
  program
    .command('demo')
    .description('write the invented demo day: sheet and FIT recordings')
    .argument('<folder>')
    .action(async (folder) => (await import('./commands/demo.ts')).demo(io, folder));
  program
    .command('schema')
    .description('print the JSON Schema of a sheet')
    .argument('<kind>', 'day, wheel, tyres, gears, descent, race; a wrong one lists them all')
    .action(async (kind) => (await import('./commands/schema.ts')).schema(io, kind));
  serverCommand(program.command('serve'), 'serve the page on this computer').action(
    async (options, command) => (await serving()).serve(at(live, command), options),
  );
  serverCommand(program.command('start'), 'reduce the demo day, serve the page and open it there')
    .option('--no-open', 'do not open a browser')
    .action(async (options, command) => (await serving()).start(at(live, command), options));
  return program;
}

function serverCommand(command: Command, description: string): Command {
  return command
    .description(description)
    .option('--port <number>', 'port to listen on; 0 takes any free one')
    .option(
      '--host <address>',
      'address to listen on; beyond loopback a token is asked for',
      '127.0.0.1',
    );
}

/** An option that may be given again and again. */
const several = (given: string, before: string[] = []): string[] => [...before, given];

const stored = () => import('./commands/stored-days.ts');
const serving = () => import('./commands/serve.ts');

function at(io: Io, command: Command): At {
  return { io, library: command.optsWithGlobals<{ library?: string }>().library ?? null };
}
