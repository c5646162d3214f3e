/**
 * A microphone that hears what a test plays: the page's own recording runs as it does with a real one, from the
 * stream on. It needs no sound device, so it is the same in every Chromium.
 */
import type { Page } from 'playwright-core';

/** Installs it; before the page is opened. `refuse`: the name of what the browser throws instead. */
export async function withMicrophone(page: Page, refuse?: string): Promise<void> {
  await page.addInitScript(`
    if (navigator.mediaDevices) navigator.mediaDevices.getUserMedia = async (wanted) => {
      window.wantedOfMicrophone = wanted.audio;
      if (${JSON.stringify(refuse ?? null)}) throw new DOMException('No.', ${JSON.stringify(refuse ?? '')});
      const context = new AudioContext({ sampleRate: 48000 });
      const ear = context.createMediaStreamDestination();
      ear.channelCount = 1;
      // The quiet of a workshop, as loud as that of the invented plucks: what is played begins unheard.
      const room = context.createBufferSource();
      room.buffer = context.createBuffer(1, 48000, 48000);
      const hiss = room.buffer.getChannelData(0);
      for (let i = 0; i < hiss.length; i++) hiss[i] = 0.0028 * (Math.random() - 0.5);
      room.loop = true;
      room.connect(ear);
      room.start();
      await context.resume();
      window.playToMicrophone = (base64) => {
        const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
        const samples = new Float32Array(bytes.buffer);
        const source = context.createBufferSource();
        source.buffer = context.createBuffer(1, samples.length, 48000);
        source.buffer.copyToChannel(samples, 0);
        source.connect(ear);
        source.start();
      };
      window.microphoneIsOpen = () => ear.stream.getTracks().some((track) => track.readyState === 'live');
      return ear.stream;
    };
  `);
}

/** Plays samples (48 kHz, full scale 1) to the page's microphone. */
export async function playTo(page: Page, samples: Float32Array): Promise<void> {
  const base64 = Buffer.from(samples.buffer, samples.byteOffset, samples.byteLength).toString(
    'base64',
  );
  await page.evaluate(`window.playToMicrophone(${JSON.stringify(base64)})`);
}
