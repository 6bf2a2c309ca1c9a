"""The office: estimates, authorisations, invoices, payments, tax."""
