/** A sound sheet of two runs, with a comment that edits must keep. */
export const exampleSheet = `# Written at the roadside
title: Two pairs
date: 2026-05-17
system: {massKg: 83.2, massStandardUncertaintyKg: 0.3}
weather: {temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 60}
course: {kind: loop}
setups:
  - {id: control, name: Shallow pair}
  - {id: deep, name: Deep pair}
control: control
runs:
  - {setup: control, file: run-1.csv}
  - {setup: deep, file: run-2.csv}
`;
