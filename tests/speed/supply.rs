//! The supplies that are timed: invented, and hard on purpose (light load just entering conduction is in every grid).

use sagline::parts::catalogue::Catalogue;
