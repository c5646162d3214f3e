export { simulateDay } from './day.ts';
export type { SimulatedDay, SimulatedRun } from './day.ts';
export type {
  Conditions,
  FilledConditions,
  ConditionsInput,
  SimulatedSetup,
  Incident,
} from './conditions.ts';
export type { RecordedChannels } from './measure.ts';
export type { EnergyLedger } from './ride.ts';
export { randomStream } from './random.ts';
export type { RandomStream } from './random.ts';
export { writeCsv, daySheetYaml } from './write.ts';
export * from './sound/index.ts';
export { deflectionsCsv, simulateDeflections, simulateTensions, tensionsCsv } from './bench.ts';
export type {
  BenchConditions,
  SimulatedDeflection,
  SimulatedTension,
  TensionConditions,
} from './bench.ts';
