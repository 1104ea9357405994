// The worker that reads picture codes: it runs the program reader.wasm. The first
// message asks whether it is there; every other brings a picture of four bytes a
// pixel. The answer is {text}, "" for no code, or {failed} with why.
"use strict";

importScripts("wasm_exec.js");

const ready = new Promise((resolve, reject) => {
  self.keelcardReady = resolve; // the program calls it
  run().catch(reject);
});

async function run() {
  const go = new Go();
  const response = await fetch("reader.wasm");
  if (!response.ok) {
    throw new Error(`reader.wasm: ${response.status}`);
  }
  const { instance } = await WebAssembly.instantiate(await response.arrayBuffer(), go.importObject);
  await go.run(instance); // it stays
  throw new Error("the program ended");
}

self.onmessage = async ({ data }) => {
  try {
    await ready;
    postMessage({ text: data.pixels ? self.keelcardRead(grey(new Uint8Array(data.pixels)), data.width, data.height) : "" });
  } catch (error) {
    postMessage({ failed: String(error) });
  }
};

// Brightness, as the eye weighs it.
function grey(pixels) {
  const out = new Uint8Array(pixels.length / 4);
  for (let i = 0, at = 0; i < out.length; i++, at += 4) {
    out[i] = (pixels[at] * 77 + pixels[at + 1] * 150 + pixels[at + 2] * 29) >> 8;
  }
  return out;
}
