// Photos: drawn anew on the device, so that neither place nor maker stays in them, and kept here until the site has them.

import { ask } from "./database.js";
import { siteFetch } from "./register.js";

const LONGEST = 1600; // pixels: a ticket can be read
const QUALITY = 0.8;

function store() {
  const request = indexedDB.open("hardpan-photos", 1);
  request.onupgradeneeded = () => request.result.createObjectStore("photos", { keyPath: "sha256" });
  return ask(request);
}

async function change(work) {
  const database = await store();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction("photos", "readwrite", { durability: "strict" });
      const request = work(transaction.objectStore("photos"));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}

/** Keep a picture of the camera; gives the hash that its entry bears, null where it is none. */
export async function takePhoto(street, file) {
  if (!file) return null;
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = Object.assign(document.createElement("canvas"), {
    width: Math.round(picture.width * scale),
    height: Math.round(picture.height * scale),
  });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  const content = await blob.arrayBuffer();
  const digest = await crypto.subtle.digest("SHA-256", content);
  const sha256 = Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
  await change((photos) => photos.put({ sha256, street, content }));
  sendPhotos(street);
  return sha256;
}

/** Post what is kept; what the site has is let go. */
export async function sendPhotos(street) {
  const kept = await change((photos) => photos.getAll());
  for (const { sha256, content } of kept.filter((one) => one.street === street)) {
    const body = new FormData();
    body.append("photo", new Blob([content], { type: "image/jpeg" }), "photo.jpg");
    try {
      const answer = await siteFetch(`/api/streets/${street}/photos`, { method: "POST", body });
      if (!answer.ok) return;
      await change((photos) => photos.delete(sha256));
    } catch {
      return; // no signal: later
    }
  }
}
