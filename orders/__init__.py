"""Clients, commissions, assemblies, parts, joints, the joint book and the operations."""
