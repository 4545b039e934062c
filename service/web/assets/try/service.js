// The calls to the service. Everything that goes wrong becomes a Refusal with words for people.

import { sentence } from "./words.js";

export class Refusal extends Error {
  constructor(message, errors = []) {
    super(message);
    this.errors = errors;
  }
}

export class Service {
  constructor(address) {
    // the service may stand under a path of its host
    this.address = new URL(address, document.baseURI).href.replace(/\/+$/, "");
  }

  at(path) {
    return this.address + path;
  }

  async options(query, signal) {
    const given = Object.entries(query).filter(([, value]) => value);
    return (await this.#call(`/v1/options?${new URLSearchParams(given)}`, { signal })).json();
  }

  async places(signal) {
    return (await (await this.#call("/v1/jurisdictions", { signal })).json()).items;
  }

  async design(spec, signal) {
    return (await this.#post("/v1/designs", spec, "application/json", signal)).json();
  }

  async drawing(spec, sheet, paper, signal) {
    return (await this.#post("/v1/drawings", { spec, sheet, paper }, "image/svg+xml", signal)).blob();
  }

  async permitPackage(spec, paper, signal) {
    return (await this.#post("/v1/permit-packages", { spec, paper }, "application/pdf", signal)).blob();
  }

  #post(path, body, accept, signal) {
    const headers = { "Content-Type": "application/json", Accept: accept };
    return this.#call(path, { method: "POST", headers, body: JSON.stringify(body), signal });
  }

  async #call(path, request) {
    let answer;
    try {
      answer = await fetch(this.at(path), { ...request, credentials: "omit" });
    } catch (failure) {
      if (failure.name === "AbortError") throw failure;
      throw new Refusal("The service does not answer. Is the line up?");
    }
    if (!answer.ok) throw await refusal(answer);
    return answer;
  }
}

async function refusal(answer) {
  if (answer.status === 404) return new Refusal("This service does not offer it.");
  const problem = await answer.json().catch(() => ({}));
  return new Refusal(sentence(problem.detail ?? `the service answered ${answer.status}`), problem.errors ?? []);
}
