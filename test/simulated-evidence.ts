import type { Day, DayEvidence, Recording } from '../src/core/evidence/index.ts';
import type { SimulatedDay } from '../src/simulation/index.ts';

/** An invented day in the shape that the methods take, without going through files. */
export function evidenceOf(simulated: SimulatedDay): DayEvidence {
  const { conditions, stated } = simulated;
  const fileOf = (run: number): string => `run-${run + 1}.fit`;
  const day: Day = {
    title: 'Invented test day',
    date: new Date(conditions.startEpochS * 1000).toISOString().slice(0, 10),
    invented: true,
    system: { massKg: stated.massKg, massStandardUncertaintyKg: stated.massStandardUncertaintyKg },
    constants: {
      crr: stated.crr,
      crrStandardUncertainty: stated.crrStandardUncertainty,
      drivetrainEfficiency: stated.drivetrainEfficiency,
      drivetrainEfficiencyStandardUncertainty: 0.005,
      powerScaleStandardUncertainty: stated.powerScaleStandardUncertainty,
      bearingLosses: conditions.physics.bearingLosses,
    },
    weather: {
      temperatureC: stated.temperatureC,
      pressureHPa: stated.pressureHPa,
      relativeHumidityPercent: stated.relativeHumidityPercent,
    },
    course: { kind: conditions.course.kind, lapLengthM: null, gate: null },
    setups: simulated.setups.map((setup) => ({
      id: setup.id,
      name: setup.name,
      wheelInertiaKgM2: setup.wheelInertiaKgM2,
      massOffsetKg: setup.massOffsetKg,
      wheelRadiusM: conditions.physics.wheelRadiusM,
      crr: null,
    })),
    control: simulated.control,
    runs: simulated.runs.map((run, i) => ({
      setup: run.setup,
      file: fileOf(i),
      fromS: null,
      toS: null,
      remark: null,
    })),
    overrules: [],
    csvColumns: null,
    reference: { speedKmh: 40, airDensityKgM3: 1.2 },
    placeOf: () => ({}),
  };
  const recordings: Recording[] = simulated.runs.map((run, i) => {
    const channels: Recording['channels'] = { ...run.channels };
    const pauses: Recording['pauses'] = [];
    for (let j = 1; j < run.timeS.length; j++) {
      if (run.timeS[j] - run.timeS[j - 1] > 5)
        pauses.push({ fromS: run.timeS[j - 1], toS: run.timeS[j] });
    }
    return {
      file: fileOf(i),
      format: 'fit',
      timeS: run.timeS,
      startEpochS: run.startEpochS,
      channels,
      lapMarksS: run.lapMarksS,
      pauses,
      warnings: [],
    };
  });
  return {
    day,
    recordings,
    inputs: recordings.map(({ file }) => ({ file, sha256: '0'.repeat(64) })),
    warnings: [],
  };
}
