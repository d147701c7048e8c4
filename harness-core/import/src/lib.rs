//! Makes netlists of wire lists.
