// Finds a person by the QR code on their name tag. What the camera sees stays within this page and is kept nowhere.

import { decodeQR } from "../qr/decode.min.js";
import { one } from "./page.js";

const EVERY = 150;
const WIDEST = 720;
const GO_ON = "Close this, and pick from the list or find by name or code.";
const NO_CAMERA = {
  NotAllowedError: "The camera may not be used here; the browser's settings for this site can allow it.",
  NotFoundError: "This device has no camera that a page can use.",
  NotReadableError: "Another program uses the camera.",
  insecure: "Without HTTPS the browser lets no page use the camera.",
};

const cameraOn = () => {
  if (!navigator.mediaDevices?.getUserMedia) {
    throw Object.assign(new Error(), { name: window.isSecureContext ? "NotFoundError" : "insecure" });
  }
  const video = { facingMode: "environment", width: { ideal: 1280 } };
  return navigator.mediaDevices.getUserMedia({ video, audio: false });
};

const say = (words) => {
  const line = one("scanner-says");
  if (line.textContent !== words) {
    line.textContent = words;
  }
};

const canvas = document.createElement("canvas");

// What the picture's code says; nothing where there is no code in it, or none that can be read.
const readIn = (video) => {
  const scale = Math.min(1, WIDEST / Math.max(video.videoWidth, video.videoHeight));
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  const context = canvas.getContext("2d", { willReadFrequently: true });
  context.drawImage(video, 0, 0, canvas.width, canvas.height);
  try {
    return decodeQR(context.getImageData(0, 0, canvas.width, canvas.height));
  } catch {
    return "";
  }
};

const look = (video, found) => {
  const dialog = one("scanner");
  if (!dialog.open || !video.srcObject) {
    return;
  }
  const text = video.videoWidth > 0 ? readIn(video) : "";
  const refused = text && found(text);
  if (text && !refused) {
    dialog.close();
    return;
  }
  if (refused) {
    say(refused);
  }
  setTimeout(() => look(video, found), EVERY);
};

const turnOff = (stream) => stream?.getTracks().forEach((track) => track.stop());

// `found` gets what a code says, and answers why it leads nowhere, or nothing where it has led somewhere.
export const scan = async (found) => {
  const dialog = one("scanner");
  const video = one("scanner-picture");
  dialog.addEventListener("close", () => {
    turnOff(video.srcObject);
    video.srcObject = null;
  }, { once: true });
  say("Looking for a code.");
  video.hidden = false;
  dialog.showModal();
  try {
    const stream = await cameraOn();
    if (!dialog.open) {
      turnOff(stream);
      return;
    }
    video.srcObject = stream;
    await video.play();
    look(video, found);
  } catch (error) {
    video.hidden = true;
    say(`${NO_CAMERA[error.name] ?? "The camera did not start."} ${GO_ON}`);
  }
};
