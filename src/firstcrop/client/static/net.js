// Questions to the server. Every refusal has one shape: {problem: {code, message, hint}}.

export class Refused extends Error {
  constructor(status, body) {
    super(body?.problem?.message ?? `the server answered ${status}`);
    this.status = status;
    this.code = body?.problem?.code ?? "";
    this.hint = body?.problem?.hint ?? "";
    this.body = body;
  }
}

async function ask(path, options = {}) {
  const answer = await fetch(path, { credentials: "same-origin", cache: "no-store", ...options });
  const body = await answer.json().catch(() => null);
  if (!answer.ok) throw new Refused(answer.status, body);
  return body;
}

export const get = (path) => ask(path);

const send = (method) => (path, body, signal) => ask(path, {
  method, signal, body: JSON.stringify(body), headers: { "content-type": "application/json" },
});

export const post = send("POST");
export const put = send("PUT");
