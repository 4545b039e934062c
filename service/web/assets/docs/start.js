// Starts the reference. A file of its own, so that the page needs no inline script.
SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#reference",
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: 0,
  // no document is sent anywhere to be judged
  validatorUrl: null,
});
