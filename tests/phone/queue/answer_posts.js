// The model server's answers to what stands on standard input: {street, role, asked: [{body} | {since} | {renew: true}]}.

import { ModelServer } from "./model_server.js";

let given = "";
for await (const part of process.stdin) given += part;
const { street, role, asked } = JSON.parse(given);
let epochs = 0;
const server = new ModelServer({ street, now: Date.now, newEpoch: () => `epoch-${epochs++}` });
const answers = asked.map(({ body, since, renew }) => {
  if (renew) return server.restore(server.backup()) ?? null;
  return server.handle(body === undefined ? { method: "GET", since } : { method: "POST", body, role });
});
console.log(JSON.stringify(answers));
